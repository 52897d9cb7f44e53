// Craft over a phrase: filling in and thinning out, upbeats, second endings, a breath before a leap, the slowed close.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { TICKS_PER_QUARTER, ticks } from '../../src/base/units';
import { arcHairpins, dynamicAt, halved, isSlow, secondEndings, stepped } from '../../src/figures/arc';
import type { Note } from '../../src/figures/compose';
import { FAMILIES } from '../../src/figures/families';
import { familyOf } from '../../src/figures/interpreter';
import { type Figure, readFigure } from '../../src/figures/language';
import { breatheBeforeLeaps } from '../../src/figures/play';
import { slowed } from '../../src/figures/ritardando';
import { segmentsOf } from '../../src/figures/segments';
import type { FigureDraft, FigureFamily } from '../../src/figures/types';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { stringOf } from '../../src/harp/strings';
import { type Hand, type Passage, passageEnd } from '../../src/music/passage';
import { type Letter, midiOf } from '../../src/music/pitch';
import { tempoMap } from '../../src/music/tempo';
import { progressionOf } from './progressions';

const FOUR = { beats: 4, unit: 4 };
const BAR = 4 * TICKS_PER_QUARTER;
const EIGHT = 'Cmaj7 | Am7 | Dm7 | G7 | Em7 | A7 | Dm7 G7 | C';

function draftsOf(family: FigureFamily, text: string, seeds: number, more: object = {}): FigureDraft[] {
  return Array.from({ length: seeds }, (_, i) =>
    family.draft({
      progression: progressionOf(text, FOUR),
      title: '',
      milliBpm: 84_000,
      instrument: CONCERT_HARP,
      random: seededRandom(`craft ${i}`),
      ...more,
    }),
  ).flatMap((d) => (d.ok ? [d.value] : []));
}

/** Instants of a bar at which something is struck. */
const struck = (p: Passage, bar: number): number =>
  new Set(p.plucks.filter((n) => Math.floor(n.onset / BAR) === bar).map((n) => n.onset)).size;
const dynamicsOf = (p: Passage, bar: number): string =>
  [...new Set(p.plucks.filter((n) => Math.floor(n.onset / BAR) === bar).map((n) => n.dynamic))].join();

describe('phrases that fill in or thin out', () => {
  const all = FAMILIES.slice(0, 20).flatMap((f) => draftsOf(f, EIGHT, 12));
  const named = (word: string): FigureDraft[] => all.filter((d) => d.variant.includes(word));

  it('are many, among many that do neither', () => {
    expect(named('filling in').length).toBeGreaterThan(10);
    expect(named('thinning out').length).toBeGreaterThan(10);
    expect(named('filling in').length + named('thinning out').length).toBeLessThan(all.length / 2);
  });

  it('have fewer strokes where they are thin, a hairpin, and end a step louder or softer', () => {
    for (const [word, thin, full, by] of [
      ['filling in', [0, 1], [2, 3], 1],
      ['thinning out', [2, 3], [0, 1], -1],
    ] as const) {
      for (const { passage, variant } of named(word)) {
        const sum = (bars: readonly number[]): number => bars.reduce((n, b) => n + struck(passage, b), 0);
        // What is struck once a chord stays so.
        expect(sum(thin), variant).toBeLessThanOrEqual(sum(full));
        const [first, second] = passage.hairpins ?? [];
        expect(first?.kind).toBe(by === 1 ? 'crescendo' : 'diminuendo');
        expect([first?.from, first?.to]).toEqual(by === 1 ? [0, 3 * BAR] : [2 * BAR, 3 * BAR]);
        expect(second?.to).toBe(7 * BAR);
        const [here] = passage.plucks;
        expect(dynamicsOf(passage, 1)).toBe(here?.dynamic);
        expect(dynamicsOf(passage, 3)).toBe(stepped(here?.dynamic ?? 'mp', by));
        expect(dynamicsOf(passage, 4)).toBe(here?.dynamic);
      }
      const thinner = named(word).filter(
        ({ passage: p }) => struck(p, thin[0]) + struck(p, thin[1]) < struck(p, full[0]) + struck(p, full[1]),
      );
      expect(thinner.length, word).toBeGreaterThan(named(word).length / 2);
    }
  });

  it('keep to a dynamic that is asked for', () => {
    for (const f of FAMILIES.slice(0, 6))
      for (const { passage } of draftsOf(f, EIGHT, 8, { dynamic: 'f' })) {
        expect(new Set(passage.plucks.map((n) => n.dynamic))).toEqual(new Set(['f']));
        expect(passage.hairpins).toBeUndefined();
      }
  });

  it('are settled bar by bar', () => {
    expect([0, 1, 2, 3, 4].map((b) => isSlow('filling', b))).toEqual([true, true, false, false, true]);
    expect([0, 1, 2, 3, 4].map((b) => isSlow('thinning', b))).toEqual([false, false, true, true, false]);
    expect([8, 6, 4, 3, 2, 1, 0.5, 0].map((n) => halved(n, FOUR))).toEqual([4, 3, 2, 2, 1, 0.5, 0.5, 0]);
    expect([12, 6, 3, 1].map((n) => halved(n, { beats: 6, unit: 8 }))).toEqual([6, 3, 1, 0.5]);
    expect([0, 1, 2, 3, 4, 5, 6].map((b) => dynamicAt('filling', 'mp', b, 7))).toEqual(
      ['mp', 'mp', 'mp', 'mf', 'mp', 'mp', 'mf'], // prettier-ignore
    );
    // A rest of two bars is no phrase.
    expect(arcHairpins('thinning', progressionOf('C | F | G | C | F | C', FOUR))).toHaveLength(1);
  });
});

const figure = (upbeat: readonly string[]): Figure => {
  const read = readFigure({
    id: 'plain-waltz',
    name: 'Plain',
    serves: 'For the tests alone: one way to play.',
    dynamics: ['mp'],
    variants: [
      {
        name: 'plain',
        steady: true,
        upbeat,
        perBeat: [1],
        rate: [0.5, 3],
        left: { form: 'bass', windows: [['C2', 'B2']] },
        right: { form: 'close', notes: 3, windows: [['C4', 'C6']] },
        layers: [{ play: [['[L1 R*] R1 R2 R3', '[L1 R*] R1', '[L1 R*]']] }],
        ending: ['[L1 R*]'],
      },
    ],
  });
  if (!read.ok) throw new Error(read.problems[0]?.value.toString());
  return read.value;
};

describe('upbeats', () => {
  it.each(['rising', 'falling'] as const)(
    'lead %s by tones of the chord to the top of the next phrase',
    (way) => {
      let seen = 0;
      for (const { passage } of draftsOf(familyOf(figure([way])), EIGHT, 30)) {
        const right = passage.plucks.filter((n) => n.hand === 'R');
        const lead = right.filter((n) => n.onset >= 4 * BAR - TICKS_PER_QUARTER && n.onset < 4 * BAR);
        const goal = Math.max(...right.filter((n) => n.onset === 4 * BAR).map((n) => midiOf(n.pitch)));
        if (lead.length !== 2) continue;
        seen++;
        const line = [...lead.map((n) => midiOf(n.pitch)), goal];
        const sorted = [...line].sort((a, b) => (way === 'rising' ? a - b : b - a));
        expect(line).toEqual(sorted);
        expect(new Set(line).size).toBe(3);
        expect(Math.abs((line[1] as number) - goal)).toBeLessThanOrEqual(7);
        // The fourth bar is G7.
        for (const n of lead) expect([7, 11, 2, 5]).toContain(midiOf(n.pitch) % 12);
      }
      expect(seen).toBeGreaterThan(5);
    },
  );

  it('come only where the figure has them', () => {
    for (const { passage } of draftsOf(familyOf(figure([])), EIGHT, 10)) expect(struck(passage, 3)).toBe(4);
  });

  it('are answered with what may stand there', () => {
    const read = readFigure({ ...figure([]), variants: [{ upbeat: ['sideways'] }] });
    expect(read.ok).toBe(false);
    if (!read.ok)
      expect(read.problems.find((p) => p.value === 'variants.0.upbeat.0')?.limit).toBe(
        'one of rising, falling',
      );
  });
});

describe('a phrase played again', () => {
  it('is found by its chords', () => {
    expect([...secondEndings(['a', 'b', 'c', 'd', 'a', 'b', 'c', 'd'])]).toEqual([7]);
    expect([...secondEndings(['a', 'b', 'c', 'd', 'a', 'b', 'c', 'e'])]).toEqual([]);
    // A A B A: the third time closes as the first did.
    expect([...secondEndings([...'abcdabcdefghabcd'])]).toEqual([7, 15]);
    expect([...secondEndings([...'abc'])]).toEqual([]);
  });

  it('closes otherwise the second time', () => {
    const text = 'C | Am | F | G7 | C | Am | F | G7 | Em | Am | Dm | C';
    let [same, other] = [0, 0];
    for (const f of FAMILIES.filter((x) =>
      ['broken-over-bass', 'hand-to-hand', 'bass-and-chords'].includes(x.id),
    ))
      for (const { passage } of draftsOf(f, text, 12)) {
        const rhythm = (bar: number): string =>
          passage.plucks
            .filter((n) => Math.floor(n.onset / BAR) === bar)
            .map((n) => `${n.onset % BAR}${n.hand}${stringOf(n.pitch)}`)
            .join();
        if (rhythm(3) === rhythm(7)) same++;
        else other++;
      }
    expect(other).toBeGreaterThan(4 * same);
  });
});

describe('leaps', () => {
  const note = (at: number, name: string, hand: Hand): Note => ({
    onset: ticks(at * TICKS_PER_QUARTER),
    duration: ticks(TICKS_PER_QUARTER / 2),
    pitch: { letter: name[0] as Letter, alter: 0, octave: Number(name[1]) },
    hand,
    technique: 'ordinary',
    dynamic: 'mp',
    ring: false,
    roll: null,
  });
  const segments = segmentsOf(progressionOf('C | G', FOUR));
  const setup = { segments } as unknown as Parameters<typeof breatheBeforeLeaps>[1];
  const kept = (bpm: number, from: string): number[] =>
    breatheBeforeLeaps([note(0, 'C4', 'R'), note(3.5, from, 'R'), note(4, 'G6', 'R')], setup, 1000 * bpm).map(
      (n) => n.onset / TICKS_PER_QUARTER,
    );

  it('have a breath where the hand has hardly the time', () => {
    // C4 to G6 is 18 strings: 18/14 of 0.45 s, and half as much again, is 0.87 s; an eighth at 60 is 0.5 s.
    expect(kept(60, 'C4')).toEqual([0, 4]);
    expect(kept(30, 'C4')).toEqual([0, 3.5, 4]);
    // Within the reach of a hand nothing is left out.
    expect(kept(60, 'G5')).toEqual([0, 3.5, 4]);
  });

  it('are no bare jumps of register: under one in a hundred chord changes moves a hand by an octave', () => {
    let [jumps, changes] = [0, 0];
    for (const f of FAMILIES)
      for (const { passage } of draftsOf(f, EIGHT, 6))
        for (const hand of ['L', 'R'])
          segmentsOf(progressionOf(EIGHT, FOUR)).reduce<number | null>((before, s) => {
            const own = passage.plucks.filter(
              (n) => n.hand === hand && n.onset >= s.onset && n.onset < s.onset + s.duration,
            );
            if (own.length === 0) return before;
            const mean = own.reduce((n, p) => n + stringOf(p.pitch), 0) / own.length;
            if (before !== null) changes++;
            if (before !== null && Math.abs(mean - before) > 7) jumps++;
            return mean;
          }, null);
    expect(changes).toBeGreaterThan(1500);
    expect(jumps / changes).toBeLessThan(0.01);
  });
});

describe('the slowed close', () => {
  it('falls from beat to beat, is heard and said, and is nowhere faster', () => {
    const [{ passage }] = draftsOf(familyOf(figure([])), EIGHT, 1) as [FigureDraft];
    const late = slowed(passage);
    expect(late.words).toEqual([{ onset: 6 * BAR + 2 * TICKS_PER_QUARTER, text: 'poco rit.', staff: 1 }]);
    const rates = late.tempo.map((t) => t.milliBpm);
    expect(rates.length).toBeGreaterThan(3);
    expect(rates).toEqual([...rates].sort((a, b) => b - a));
    expect(late.tempo.slice(1).every((t) => t.unseen === true)).toBe(true);
    const [before, after] = [tempoMap(passage.tempo), tempoMap(late.tempo)];
    const end = passageEnd(passage);
    expect(after.microsAt(end)).toBeGreaterThan(before.microsAt(end));
    expect(after.microsAt(ticks(6 * BAR))).toBe(before.microsAt(ticks(6 * BAR)));
    // Too short to be slowed; slowed once.
    const [short] = draftsOf(familyOf(figure([])), 'C | G7 | C', 1) as [FigureDraft];
    expect(slowed(short.passage)).toBe(short.passage);
    expect(slowed(late)).toBe(late);
  });
});
