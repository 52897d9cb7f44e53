/** Sentences about lever harps. */

import { type Say, quantity } from './wording';

export const LEVER_SENTENCES: Readonly<Record<string, Say>> = {
  'lever-pitch': (p) =>
    `${p.value} cannot be set on the ${lower(p.limit)}: a lever only raises its string, so nothing sounds below the tuning.`,
  'lever-clash': (p) =>
    `${p.value} are wanted at once; each string of the ${lower(p.limit)} has one lever, so one of them must go or be spelt on another string.`,
  'lever-time': (p) =>
    `the left hand has no time to set the levers for all of these: ${p.value}; it must be free for ${quantity(p.limit, 's')} to move one.`,
  'lever-work': (p) =>
    `no way was found to have the levers set for ${p.value} in time, and not every way could be tried; the left hand must be free for ${quantity(p.limit, 's')} to move one.`,
};

const lower = (limit: string | number): string => {
  const text = String(limit);
  return text.slice(0, 1).toLowerCase() + text.slice(1);
};
