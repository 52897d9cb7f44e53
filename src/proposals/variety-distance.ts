/** How far two passages lie apart to the ear and the hands, in whole numbers: rhythm, contour, register, hands, technique. */

import { stringOf } from '../harp/strings';
import type { Passage } from '../music/passage';

export const ASPECTS = ['rhythm', 'contour', 'register', 'hands', 'technique'] as const;
export type Aspect = (typeof ASPECTS)[number];

/** Counts by kind, one table an aspect, each scaled to 1,000 in all (or empty). */
export type Features = Readonly<Record<Aspect, ReadonlyMap<string, number>>>;

/** 0 (alike) to 100 (nothing in common) for each aspect, and the sum, 0 to 500. */
export type Distance = Readonly<Record<Aspect, number>> & { readonly total: number };

class Counts {
  readonly map = new Map<string, number>();
  sum = 0;
  add(kind: string, n = 1): void {
    this.map.set(kind, (this.map.get(kind) ?? 0) + n);
    this.sum += n;
  }
  scaled(): Map<string, number> {
    return new Map([...this.map].map(([kind, n]) => [kind, Math.floor((1000 * n) / this.sum)]));
  }
}

interface Sound {
  readonly onset: number;
  readonly strings: number[];
  readonly hands: Set<string>;
}

function soundsOf({ plucks, sweeps, trembles }: Passage): Sound[] {
  const at = new Map<number, Sound>();
  const sound = (onset: number): Sound => {
    const known = at.get(onset) ?? { onset, strings: [], hands: new Set<string>() };
    at.set(onset, known);
    return known;
  };
  for (const p of plucks) {
    const s = sound(p.onset);
    s.strings.push(stringOf(p.pitch));
    s.hands.add(p.hand ?? '?');
  }
  for (const g of sweeps) {
    const s = sound(g.onset);
    s.strings.push(g.from);
    s.hands.add(g.hand);
  }
  for (const t of trembles)
    for (const n of t.notes) {
      const s = sound(t.onset);
      s.strings.push(stringOf(n.pitch));
      s.hands.add(n.hand);
    }
  return [...at.values()].sort((a, b) => a.onset - b.onset);
}

/** Steps of up to two strings, skips within an octave, leaps. */
const size = (n: number): string => (n === 0 ? '0' : n <= 2 ? '1' : n <= 7 ? '2' : '3');

/**
 * The features of a passage: where in the bar something is struck; how the upper line and the lower line move
 * from one onset to the next and after the last move; the strings by half octaves; which hands strike together and how
 * many notes; techniques, rolls, sweeps and trembles, ringing or not.
 */
export function featuresOf(passage: Passage): Features {
  const sounds = soundsOf(passage);
  const bar = passage.bars[0]?.length ?? 1;
  const [rhythm, contour, register, hands, technique] = ASPECTS.map(() => new Counts()) as [
    Counts,
    Counts,
    Counts,
    Counts,
    Counts,
  ];
  let way = '';
  sounds.forEach((s, i) => {
    rhythm.add(String(s.onset % bar));
    for (const string of s.strings) register.add(String(Math.floor(string / 4)));
    const both = s.hands.size > 1 ? 'LR' : [...s.hands].join('');
    const count = s.strings.length;
    hands.add(`${both}${count > 4 ? 5 : count}`);
    const before = sounds[i - 1];
    if (before === undefined) return;
    const step = Math.max(...s.strings) - Math.max(...before.strings);
    const here = `${step < 0 ? '-' : '+'}${size(Math.abs(step))}`;
    contour.add(`${way}${here}`);
    way = here;
  });
  const rolled = new Map(passage.rolls.flatMap((r) => r.plucks.map((id) => [id, r.direction])));
  for (const p of passage.plucks)
    technique.add(`${p.technique} ${rolled.get(p.id) ?? ''}${p.ring === true ? ' ring' : ''}`);
  for (const g of passage.sweeps) technique.add(`sweep ${g.from < g.to ? 'up' : 'down'}`, 8);
  for (const t of passage.trembles) technique.add('tremble', 2 * t.notes.length);
  return {
    rhythm: rhythm.scaled(),
    contour: contour.scaled(),
    register: register.scaled(),
    hands: hands.scaled(),
    technique: technique.scaled(),
  };
}

/** What two tables do not share, in hundredths of all, rounded down: half the sum of differences over 1,000. */
function apart(a: ReadonlyMap<string, number>, b: ReadonlyMap<string, number>): number {
  let sum = 0;
  for (const [kind, n] of a) sum += Math.abs(n - (b.get(kind) ?? 0));
  for (const [kind, n] of b) if (!a.has(kind)) sum += n;
  return Math.min(100, Math.floor(sum / 20));
}

/** The distance of two passages by their features; symmetric, 0 for the same. */
export function distanceOf(a: Features, b: Features): Distance {
  const parts = ASPECTS.map((aspect) => [aspect, apart(a[aspect], b[aspect])] as const);
  return {
    ...(Object.fromEntries(parts) as Record<Aspect, number>),
    total: parts.reduce((sum, [, n]) => sum + n, 0),
  };
}
