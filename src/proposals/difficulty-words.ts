/** How hard a part is, in words: five plain figures with their names, and one word. */

import type { Difficulty } from '../figures/difficulty';

export interface DifficultyFact {
  readonly name: string;
  /** 'a tenth', '12 strings', '0.45 s'. */
  readonly value: string;
  /** What the figure measures. */
  readonly means: string;
}

const INTERVALS: readonly string[] = [
  ...['', 'single notes', 'a second', 'a third', 'a fourth', 'a fifth', 'a sixth', 'a seventh'],
  ...['an octave', 'a ninth', 'a tenth', 'an eleventh', 'a twelfth'],
];

const count = (n: number, one: string, many: string): string => `${n} ${n === 1 ? one : many}`;

/** The five figures in their order: stretch, leap, speed, placing, feet. */
export function difficultyFacts({ stretch, leap, speed, placing, feet }: Difficulty): DifficultyFact[] {
  return [
    {
      name: 'stretch',
      value: INTERVALS[stretch] ?? `an interval of ${stretch}`,
      means: 'The widest chord of one hand',
    },
    {
      name: 'leap',
      value: count(leap, 'string', 'strings'),
      means: 'The farthest that a hand moves in under a second',
    },
    { name: 'speed', value: `${speed} a second`, means: 'The most that one hand plucks in a second' },
    {
      name: 'placing',
      value: placing === null ? 'free' : `${Math.round(placing / 10) / 100} s`,
      means: 'The shortest time in which a hand places a new chord',
    },
    { name: 'feet', value: `${feet} in 4 s`, means: 'The most pedal moves in four seconds' },
  ];
}

/** 'medium: stretch a tenth, leap 9 strings, speed 4 a second, placing 0.45 s, feet 2 in 4 s'. */
export const difficultyLine = (d: Difficulty): string =>
  `${d.word}: ${difficultyFacts(d)
    .map(({ name, value }) => `${name} ${value}`)
    .join(', ')}`;
