// Planned passages for the tests: made by hand and made by chance.
import fc from 'fast-check';
import { ticks } from '../../src/base/units';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { type Move, type PlannedPassage, settingAt } from '../../src/harp/planned';
import { PEDALS, type Position, footOf, positionOf, withPosition } from '../../src/harp/setting';
import { stringLetter, stringOf, stringPitch } from '../../src/harp/strings';
import { type Metre, barTicks, beatTicks, makeBars } from '../../src/music/metre';
import type { Dynamic, Passage, Pluck, Roll, Sweep, Technique, Tremble } from '../../src/music/passage';

export const Q = 3360;
export const METRES: readonly Metre[] = [
  [2, 4],
  [3, 4],
  [4, 4],
  [6, 8],
  [9, 8],
  [12, 8],
  [5, 4],
].map(([beats, unit]) => ({ beats, unit }) as Metre);

export const emptyPassage = (metre: Metre, bars: number): Passage => ({
  title: 'Étude & <trial>',
  bars: makeBars(metre, bars),
  tempo: [{ onset: ticks(0), milliBpm: 96_000 }],
  fifths: 0,
  plucks: [],
  rolls: [],
  sweeps: [],
  trembles: [],
  chords: [],
  damps: [],
});

export const onConcertHarp = (
  passage: Passage,
  start = 1093,
  moves: readonly Move[] = [],
): PlannedPassage => ({
  passage,
  instrument: CONCERT_HARP,
  start,
  moves,
  tuning: {},
});

/** Splits of one felt beat, in shares: plain values, tuplets, dots. */
const SPLITS: readonly (readonly number[])[] = [
  [1],
  [1, 1],
  [3, 1],
  [1, 3],
  [1, 2, 1],
  [1, 1, 1],
  [2, 1],
  [1, 1, 1, 1],
  [1, 1, 1, 1, 1, 1],
  [1, 1, 1, 1, 1],
  [1, 1, 1, 1, 1, 1, 1],
  [2, 1, 1, 1, 1],
];
const DYNAMICS: readonly Dynamic[] = ['ppp', 'pp', 'p', 'mp', 'mf', 'f', 'ff', 'fff'];

/** One hand's events from tick to tick: contiguous, in whole shares of felt beats, sometimes longer. */
function times(
  metre: Metre,
  bars: number,
  choices: readonly number[],
): { onset: number; duration: number }[] {
  const beat = beatTicks(metre);
  const end = bars * barTicks(metre);
  const out: { onset: number; duration: number }[] = [];
  let at = 0;
  let i = 0;
  while (at < end) {
    const choice = choices[i++ % choices.length] as number;
    if (choice % 17 === 0) {
      const length = Math.min(end - at, beat * (2 + (choice % 3)));
      out.push({ onset: at, duration: length });
      at += length;
      continue;
    }
    const shares = SPLITS[choice % SPLITS.length] as readonly number[];
    const sum = shares.reduce((a, b) => a + b, 0);
    const unit = beat / sum;
    const length = Number.isInteger(unit) ? unit : 0;
    if (length === 0) {
      out.push({ onset: at, duration: beat });
    } else {
      let t = at;
      for (const share of shares) {
        out.push({ onset: t, duration: share * unit });
        t += share * unit;
      }
    }
    at += beat;
  }
  return out;
}

/** A planned passage whose pitches agree with its pedals: anything that a harp file can hold, in any metre. */
export const plannedPassages: fc.Arbitrary<PlannedPassage> = fc
  .record({
    metre: fc.constantFrom(...METRES),
    bars: fc.integer({ min: 1, max: 4 }),
    fifths: fc.integer({ min: -7, max: 7 }),
    start: fc.integer({ min: 0, max: 2186 }),
    right: fc.array(fc.nat(10_000), { minLength: 3, maxLength: 12 }),
    left: fc.array(fc.nat(10_000), { minLength: 3, maxLength: 12 }),
    notes: fc.array(fc.nat(1_000_000), { minLength: 20, maxLength: 40 }),
    moves: fc.array(fc.tuple(fc.nat(1000), fc.nat(6), fc.integer({ min: -1, max: 1 })), { maxLength: 6 }),
    milliBpm: fc.integer({ min: 20_000, max: 250_000 }),
  })
  .map((seed) => build(seed));

function build(seed: {
  metre: Metre;
  bars: number;
  fifths: number;
  start: number;
  right: number[];
  left: number[];
  notes: number[];
  moves: [number, number, number][];
  milliBpm: number;
}): PlannedPassage {
  const { metre, bars } = seed;
  const beat = beatTicks(metre);
  const end = bars * barTicks(metre);
  const moves: Move[] = [];
  let setting = seed.start;
  for (const [when, pedal, to] of [...seed.moves].sort((a, b) => a[0] - b[0])) {
    const letter = PEDALS[pedal] ?? 'D';
    const from = positionOf(setting, letter);
    if (from === to) continue;
    const onset = ticks(Math.floor((when * (end / (beat / 2))) / 1001) * (beat / 2));
    if (moves.some((move) => move.onset === onset && move.letter === letter)) continue;
    moves.push({ onset, letter, from, to: to as Position, foot: footOf(letter) });
    setting = withPosition(setting, letter, to as Position);
  }
  const planned = onConcertHarp(emptyPassage(metre, bars), seed.start, moves);
  const plucks: Pluck[] = [];
  const rolls: Roll[] = [];
  const sweeps: Sweep[] = [];
  const trembles: Tremble[] = [];
  let n = 0;
  const draw = (): number => {
    n++;
    return ((seed.notes[n % seed.notes.length] as number) + 7919 * n) % 1_000_003;
  };
  const pitch = (string: number, at: number) =>
    stringPitch(string, positionOf(settingAt(planned, ticks(at)), stringLetter(string)));
  for (const hand of ['R', 'L'] as const) {
    const base = hand === 'R' ? 20 : 5;
    times(metre, bars, hand === 'R' ? seed.right : seed.left).forEach(({ onset, duration }, i) => {
      const what = draw() % 20;
      const low = base + (draw() % 18);
      const at = ticks(onset);
      if (what < 3) return;
      if (what === 3) {
        const to = (low + 9 + (draw() % 8)) % 47;
        const settings = [settingAt(planned, at)];
        const id = `s${hand}${i}`;
        sweeps.push({
          id,
          onset: at,
          duration: ticks(duration),
          hand,
          from: low,
          to,
          settings,
          dynamic: 'f',
        });
        return;
      }
      if (what === 4 && hand === 'R') {
        const notes = [0, 2, 4].map((step, k) => ({
          id: `t${i}.${k}`,
          pitch: pitch(low + step, onset),
          hand: k === 1 ? ('L' as const) : ('R' as const),
        }));
        trembles.push({ id: `t${i}`, onset: at, duration: ticks(duration), notes, dynamic: 'pp' });
        return;
      }
      const size = what < 12 ? 1 : 2 + (draw() % 3);
      const technique = (['ordinary', 'ordinary', 'harmonic', 'table', 'etouffe', 'nail'] as const)[
        draw() % 6
      ] as Technique;
      const dynamic = DYNAMICS[Math.floor(onset / barTicks(metre) / 2) % 8] as Dynamic;
      const ids: string[] = [];
      for (let k = 0; k < size; k++) {
        const id = `${hand}${i}.${k}`;
        ids.push(id);
        plucks.push({
          id,
          onset: at,
          duration: ticks(duration),
          pitch: pitch(low + 2 * k, onset),
          hand,
          finger: draw() % 3 === 0 ? ((size - k) as 1 | 2 | 3 | 4) : null,
          technique,
          dynamic: draw() % 11 === 0 ? 'fff' : dynamic,
          ...(draw() % 13 === 0 ? { ring: true } : {}),
        });
      }
      const directions = ['up', 'down', 'none'] as const;
      if (size > 1 && draw() % 2 === 0) {
        rolls.push({ id: `r${hand}${i}`, plucks: ids, direction: directions[draw() % 3] ?? 'up' });
      }
    });
  }
  const damps = draw() % 3 === 0 ? [{ onset: ticks(beat) }, { onset: ticks(end - beat), below: 14 }] : [];
  return {
    ...planned,
    // Discless strings take the inflection that is asked of them first; the tests ask for the pedal's.
    instrument: { ...CONCERT_HARP, discless: [] },
    passage: {
      ...planned.passage,
      fifths: seed.fifths,
      tempo: [
        { onset: ticks(0), milliBpm: seed.milliBpm },
        ...(bars > 1
          ? [
              {
                onset: ticks(barTicks(metre)),
                milliBpm: 72_500,
                ...(seed.fifths < 0 ? { unseen: true as const } : {}),
              },
            ]
          : []),
      ],
      plucks: plucks.sort((a, b) => a.onset - b.onset || stringOf(a.pitch) - stringOf(b.pitch)),
      rolls,
      sweeps: sweeps.sort((a, b) => a.onset - b.onset),
      trembles,
      damps: damps as Passage['damps'],
      chords: [
        {
          onset: ticks(0),
          text: 'Bb7b9/D',
          root: { letter: 'B', alter: -1 },
          bass: { letter: 'D', alter: 0 },
          kind: 'dominant',
          degrees: [{ value: 9, alter: -1, type: 'add' }],
        },
        { onset: ticks(beat), text: 'N.C.', root: null, bass: null, kind: 'none', degrees: [] },
      ],
    },
  };
}
