// The parts that faults are planted into, and small ways of changing them.
import type { Random } from '../../../src/base/random';
import { type Ticks, ticks } from '../../../src/base/units';
import { type PlannedPassage, settingAt } from '../../../src/harp/planned';
import { type Position, positionOf } from '../../../src/harp/setting';
import { stringLetter, stringOf, stringPitch } from '../../../src/harp/strings';
import type { Hand, Pluck } from '../../../src/music/passage';
import type { Pitch } from '../../../src/music/pitch';
import { tempoMap } from '../../../src/music/tempo';
import type { PartToCheck } from '../../../src/proposals/check';

/** A part in which the checker finds no error, with the plan that it is played by. */
export interface Ground {
  readonly name: string;
  readonly part: PartToCheck;
  readonly planned: PlannedPassage;
  /** It has pedal marks of its own. */
  readonly marked: boolean;
}
export interface Planted {
  readonly part: PartToCheck;
  readonly code: string;
  readonly severity: 'error' | 'warning';
  readonly onset: Ticks;
  readonly kind?: string;
  /** A stretch that may begin before the planted notes must name this one. */
  readonly names?: string;
}
export type Plant = (ground: Ground, random: Random) => Planted | null;

export const POSITIONS: readonly Position[] = [-1, 0, 1];
export const micros = (g: Ground, at: Ticks): number => tempoMap(g.part.passage.tempo).microsAt(at);
/** The tick that lies some milliseconds after another. */
export function later(g: Ground, at: Ticks, ms: number): Ticks {
  if (ms === 0) return at;
  const map = tempoMap(g.part.passage.tempo);
  return map.ticksAt((map.microsAt(at) + ms * 1000) as never);
}

export const withPassage = (g: Ground, change: Partial<PartToCheck['passage']>): PartToCheck => {
  const passage = { ...g.part.passage, ...change };
  const plucks = [...passage.plucks].sort(
    (a, b) => a.onset - b.onset || stringOf(a.pitch) - stringOf(b.pitch),
  );
  return { ...g.part, passage: { ...passage, plucks } };
};
export const withPlucks = (g: Ground, more: readonly Pluck[]): PartToCheck =>
  withPassage(g, { plucks: [...g.part.passage.plucks, ...more] });
export const replaced = (g: Ground, pluck: Pluck, change: Partial<Pluck>): PartToCheck =>
  withPassage(g, { plucks: g.part.passage.plucks.map((p) => (p === pluck ? { ...p, ...change } : p)) });

/** The pitch that a string sounds at an instant as the part is played. */
export const pitchAt = (g: Ground, string: number, at: Ticks): Pitch =>
  stringPitch(string, positionOf(settingAt(g.planned, at), stringLetter(string)));

export const pluckAt = (
  onset: Ticks,
  pitch: Pitch,
  hand: Hand,
  id: string,
  more: Partial<Pluck> = {},
): Pluck => ({
  id: `planted${id}`,
  onset,
  duration: ticks(420),
  pitch,
  hand,
  finger: null,
  technique: 'ordinary',
  dynamic: 'mf',
  ...more,
});

export const pickPluck = (g: Ground, random: Random, test: (p: Pluck) => boolean): Pluck | null => {
  const fit = g.part.passage.plucks.filter(test);
  return fit.length === 0 ? null : random.pick(fit);
};
export const handAt = (g: Ground, hand: Hand, onset: Ticks): Pluck[] =>
  g.part.passage.plucks.filter((p) => p.hand === hand && p.onset === onset);
export const onsetsOf = (g: Ground, hand?: Hand): Ticks[] => [
  ...new Set(g.part.passage.plucks.filter((p) => hand === undefined || p.hand === hand).map((p) => p.onset)),
];
export const pedalled = (p: Pluck): boolean => stringOf(p.pitch) > 1;
export const alone = (g: Ground, p: Pluck): boolean =>
  g.part.passage.plucks.every((q) => q === p || q.onset !== p.onset || q.pitch.letter !== p.pitch.letter);
