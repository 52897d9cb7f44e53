// The list of what a harp part is made of, word by word: each kind is drawn, planned, fingered and judged.
import { describe, expect, it } from 'vitest';
import { FAMILIES } from '../../src/figures/families';
import { stringOf } from '../../src/harp/strings';
import type { Hand, Passage, Pluck } from '../../src/music/passage';
import { attempt, draftOf } from '../../src/proposals/attempt';
import { plainRequest } from '../proposals/_request';
import { progressionOf } from './progressions';

const TEXT = 'Ebmaj7 | Cm7 | Fm7 | Bb7 | Gm7 | Cm7 | Fm7 Bb7 | Eb';
const request = { ...plainRequest(TEXT, '1', 1), milliBpm: 72_000 };
const progression = progressionOf(TEXT, { beats: 4, unit: 4 });

const hand = (h: Hand) => (p: Passage) => p.plucks.filter((n) => n.hand === h);
const [left, right] = [hand('L'), hand('R')];
const groups = (plucks: readonly Pluck[]): Pluck[][] => {
  const map = new Map<number, Pluck[]>();
  for (const n of plucks) map.set(n.onset, [...(map.get(n.onset) ?? []), n]);
  return [...map.values()];
};
const sizes = (plucks: readonly Pluck[]): number[] => groups(plucks).map((g) => g.length);
const gaps = (plucks: readonly Pluck[], of: number): number[] =>
  groups(plucks)
    .filter((g) => g.length === of)
    .map((g) => Math.max(...g.map((n) => stringOf(n.pitch))) - Math.min(...g.map((n) => stringOf(n.pitch))));
const all = (p: Passage, t: Pluck['technique']): boolean => p.plucks.every((n) => n.technique === t);
const some = (list: readonly Pluck[], t: Pluck['technique']): boolean => list.some((n) => n.technique === t);
const line = (plucks: readonly Pluck[]): number[] =>
  groups(plucks).map((g) => Math.max(...g.map((n) => stringOf(n.pitch))));
/** Whether a run of notes goes by these steps' signs somewhere. */
const goes = (plucks: readonly Pluck[], signs: readonly number[]): boolean => {
  const l = line(plucks);
  const s = l.slice(1).map((x, i) => Math.sign(x - (l[i] as number)));
  return s.some((_, i) => signs.every((want, k) => s[i + k] === want));
};
const sweeps = (p: Passage, test: (s: Passage['sweeps'][number]) => boolean): boolean => p.sweeps.some(test);
const beside = (p: Passage, below: readonly number[], h: Hand): boolean =>
  sweeps(p, (s) =>
    below.every((d) =>
      p.sweeps.some((o) => o.onset === s.onset && o.hand === h && o.from === s.from - d && o.to === s.to - d),
    ),
  );

/** Kind, family, what shows it in the passage; `named` where the variant says it. */
const KINDS: readonly [string, string, (p: Passage) => boolean, RegExp?][] = [
  [
    'rolled chords by the bar',
    'rolled-chords',
    (p) => p.rolls.some((r) => r.direction === 'up') && groups(p.plucks).length <= 18,
    /every other beat|once a chord/,
  ],
  ['rolled chords by the beat', 'rolled-chords', (p) => p.rolls.length > 8, /on the beat/],
  ['bracketed chords', 'rolled-chords', (p) => p.rolls.some((r) => r.direction === 'none')],
  [
    'bell strokes in octaves, l.v.',
    'bell-octaves',
    (p) => gaps(p.plucks, 2).includes(7) && p.plucks.filter((n) => n.ring).length > 8,
  ],
  [
    'bass and chords',
    'bass-and-chords',
    (p) => sizes(right(p)).some((n) => n >= 3) && sizes(left(p)).includes(1),
  ],
  ['off-beat chords', 'off-beat-chords', (p) => right(p).filter((n) => n.onset % 3360 !== 0).length > 8],
  ['open 1-5-8 in the left hand', 'open-tenths', (p) => goes(left(p), [1, 1]), /1-5-8/],
  ['open 1-5-10 in the left hand', 'open-tenths', (p) => goes(left(p), [1, 1]), /1-5-10/],
  ['one-hand broken chords, up', 'broken-over-bass', (p) => goes(right(p), [1, 1, 1])],
  ['one-hand broken chords, down', 'broken-over-bass', (p) => goes(right(p), [-1, -1, -1])],
  ['one-hand broken chords, turned', 'broken-over-bass', (p) => goes(right(p), [1, 1, 1, -1, -1])],
  ['zigzag, three forward and one back', 'zigzag', (p) => goes(right(p), [1, 1, -1, 1, 1, -1])],
  ['zigzag, falling', 'zigzag', (p) => goes(right(p), [-1, -1, 1, -1, -1])],
  ['hand-to-hand arpeggio, one sweep', 'hand-to-hand', (p) => goes(p.plucks, [1, 1, 1, 1, 1, 1])],
  ['wave', 'wave', (p) => goes(p.plucks, [1, 1, 1, 1, 1]) && goes(p.plucks, [-1, -1, -1, -1])],
  ['cascade', 'hand-to-hand-down', (p) => goes(p.plucks, [-1, -1, -1, -1, -1])],
  ['alternating hands in single notes', 'alternating-hands', (p) => p.plucks.length > 20, /single notes/],
  [
    'alternating hands in thirds',
    'alternating-hands',
    (p) => gaps(right(p), 2).filter((g) => g === 2).length > 3,
    /thirds/,
  ],
  [
    'alternating hands in octaves',
    'alternating-hands',
    (p) => gaps(right(p), 2).every((g) => g === 7),
    /octaves/,
  ],
  [
    'two hands in parallel',
    'hands-together',
    (p) => goes(left(p), [1, 1]) && goes(right(p), [1, 1]),
    /parallel/,
  ],
  [
    'two hands in contrary motion',
    'hands-together',
    (p) => goes(left(p), [1, 1]) && goes(right(p), [-1, -1]),
    /contrary/,
  ],
  ['melody in the thumb over chords', 'thumb-melody', (p) => right(p).length > 8],
  ['harmonics alone', 'harmonics-alone', (p) => all(p, 'harmonic')],
  [
    'harmonics with bass',
    'harmonics-over-bass',
    (p) => some(right(p), 'harmonic') && some(left(p), 'ordinary'),
  ],
  ['harmonics in left-hand pairs', 'harmonics-alone', (p) => sizes(left(p)).includes(2), /pairs/],
  ['harmonics in left-hand triples', 'harmonics-alone', (p) => sizes(left(p)).includes(3), /triples/],
  ['étouffé bass', 'etouffe-bass', (p) => some(left(p), 'etouffe')],
  ['ostinato near the soundboard', 'table-ostinato', (p) => some(right(p), 'table')],
  ...[3, 4, 5, 6, 7, 8].map((n): [string, string, (p: Passage) => boolean] => [
    `bisbigliando of ${n}`,
    'bisbigliando',
    (p) => p.trembles.some((t) => t.notes.length === n),
  ]),
  ['homophone repeated notes', 'homophone-repeats', (p) => p.plucks.some((n) => n.fixed)],
  ['homophone ostinato', 'homophone-ostinato', (p) => p.plucks.some((n) => n.fixed)],
  ['scale links by tetrachords', 'scale-links', (p) => goes(p.plucks, [1, 1, 1, 1, 1, 1, 1])],
  [
    'short glissando as upbeat',
    'glissando',
    (p) => sweeps(p, (s) => s.duration <= 3360 && s.to > s.from),
    /short upbeat/,
  ],
  ['long glissando', 'glissando', (p) => sweeps(p, (s) => s.duration >= 6720 && s.to > s.from), /long rise/],
  [
    'arch glissando',
    'glissando',
    (p) => sweeps(p, (s) => p.sweeps.some((o) => o.onset === s.onset + s.duration && o.to < o.from)),
    /rising and falling/,
  ],
  [
    'contrary glissandi',
    'contrary-glissando',
    (p) =>
      sweeps(p, (s) => p.sweeps.some((o) => o.onset === s.onset && (o.to - o.from) * (s.to - s.from) < 0)),
  ],
  ['glissando in thirds', 'parallel-glissando', (p) => beside(p, [2], 'R'), /in thirds/],
  ['glissando in octaves', 'parallel-glissando', (p) => beside(p, [7], 'L'), /in octaves/],
  ['glissando with three fingers', 'parallel-glissando', (p) => beside(p, [2, 4], 'R'), /three fingers/],
  [
    'three against two',
    'cross-rhythms',
    (p) => left(p).some((n) => n.onset % 3360 === 1680) && right(p).some((n) => n.onset % 3360 === 1120),
    /three in the right hand, two/,
  ],
  [
    'four against three',
    'cross-rhythms',
    (p) => left(p).some((n) => n.onset % 6720 === 2240) && right(p).some((n) => n.onset % 6720 === 1680),
    /four in the right hand against three/,
  ],
  ['sparse single tones', 'sparse-tones', (p) => p.plucks.length < 40 && Math.max(...sizes(right(p))) <= 3],
];

describe('the kinds of harp writing', () => {
  it.each(KINDS)('%s', (_name, id, shows, named) => {
    const family = FAMILIES.find((f) => f.id === id);
    if (family === undefined) throw new Error(id);
    for (let i = 0; i < 120; i++) {
      const draft = draftOf(request, progression, family, `k${i}`);
      if (!draft.ok || (named !== undefined && !named.test(draft.value.variant))) continue;
      if (!shows(draft.value.passage)) continue;
      const made = attempt(request, progression, family, `k${i}`);
      if (!made.ok) continue;
      expect(made.proposal.planned.passage.plucks.every((n) => n.hand === null || n.finger !== null)).toBe(
        true,
      );
      expect(shows(made.proposal.planned.passage)).toBe(true);
      return;
    }
    throw new Error('no draft of 120 shows it');
  });

  it('come from thirty families and more, each with variants and a sentence on when it serves', () => {
    expect(FAMILIES.length).toBeGreaterThanOrEqual(30);
    for (const family of FAMILIES) {
      const variants = new Set<string>();
      for (let i = 0; i < 12; i++) {
        const draft = draftOf(request, progression, family, `v${i}`);
        if (draft.ok) variants.add(draft.value.variant);
      }
      expect(variants.size, family.id).toBeGreaterThanOrEqual(3);
      expect(family.serves, family.id).toMatch(/^[A-Z].{20,}\.$/);
    }
  });
});
