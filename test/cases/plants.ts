// Faults of known kinds, each planted into a part at a place that chance picks; null where the part has no such place.
import type { Plant } from './plants/ground';
import { HANDS } from './plants/hands';
import { NOTES } from './plants/notes';
import { PEDALS_AND_MARKS } from './plants/pedals';
import { TECHNIQUES } from './plants/techniques';
import { WHOLE } from './plants/whole';

export type { Ground, Plant, Planted } from './plants/ground';

/** Every kind of fault, by name. */
export const PLANTS: Readonly<Record<string, Plant>> = {
  ...NOTES,
  ...HANDS,
  ...PEDALS_AND_MARKS,
  ...TECHNIQUES,
  ...WHOLE,
};
