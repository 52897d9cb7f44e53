/** Every family, in the order of the list. */

import * as v from 'valibot';
import bassAndChords from '../../presets/figures/bass-and-chords.json';
import brokenOverBass from '../../presets/figures/broken-over-bass.json';
import handToHand from '../../presets/figures/hand-to-hand.json';
import openTenths from '../../presets/figures/open-tenths.json';
import rolledChords from '../../presets/figures/rolled-chords.json';
import { familyOf } from './interpreter';
import { figureSchema } from './language';
import type { FigureFamily } from './types';

/** The presets are ours: one that does not follow the schema is a fault of the build and stops it in the tests. */
const preset = (data: unknown): FigureFamily => familyOf(v.parse(figureSchema, data));

export const FAMILIES: readonly FigureFamily[] = [
  preset(rolledChords),
  preset(brokenOverBass),
  preset(handToHand),
  preset(bassAndChords),
  preset(openTenths),
];
