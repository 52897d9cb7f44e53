// Pedal marks and changes that do not fit the notes or the feet.
import type { Random } from '../../../src/base/random';
import { ticks } from '../../../src/base/units';
import { settingAt } from '../../../src/harp/planned';
import { PEDALS, type Position, footOf, positionOf, withPosition } from '../../../src/harp/setting';
import { type PartToCheck } from '../../../src/proposals/check';
import {
  type Ground,
  type Plant,
  POSITIONS,
  later,
  withPlucks,
  replaced,
  pluckAt,
  pickPluck,
  onsetsOf,
  pedalled,
  alone,
} from './ground';
/** A word of the part with the first note that needs it and the last that needs what was before. */
function needed(g: Ground, random: Random) {
  const found = g.part.markings.moves.flatMap((move, at) => {
    const mine = g.part.passage.plucks.filter((p) => p.pitch.letter === move.letter && pedalled(p));
    const next = g.part.markings.moves.find((m, i) => i > at && m.letter === move.letter)?.onset ?? Infinity;
    const first = mine.find((p) => p.onset >= move.onset && p.pitch.alter === move.to && p.onset < next);
    const before = mine.filter((p) => p.onset <= move.onset && p.pitch.alter !== move.to).at(-1);
    const prior =
      g.part.markings.moves.filter((m, i) => i < at && m.letter === move.letter).at(-1)?.onset ?? 0;
    const between = mine.some((p) => first !== undefined && p.onset > move.onset && p.onset < first.onset);
    return first === undefined || between ? [] : [{ move, first, before, prior, next }];
  });
  // Sweeps and trembles need the letter as well: where it is first needed is told by plucks alone.
  const { sweeps, trembles } = g.part.passage;
  return found.length === 0 || sweeps.length + trembles.length > 0 ? null : random.pick(found);
}
type Word = PartToCheck['markings']['moves'][number];
const withWords = (g: Ground, moves: readonly Word[]): PartToCheck => ({
  ...g.part,
  markings: { ...g.part.markings, moves: [...moves].sort((a, b) => a.onset - b.onset) },
});
const changedWord = (g: Ground, word: Word, change: Partial<Word> | null): PartToCheck =>
  withWords(
    g,
    g.part.markings.moves.flatMap((m) => (m !== word ? [m] : change === null ? [] : [{ ...m, ...change }])),
  );

/** Two words for one foot, so many milliseconds apart. */
const twoWords =
  (ms: number): Plant =>
  (g, random) => {
    const onset = random.pick(onsetsOf(g));
    const foot = random.pick(['left', 'right'] as const);
    const [a, b] = random.shuffle(PEDALS.filter((l) => footOf(l) === foot));
    if (!g.marked || a === undefined || b === undefined) return null;
    const second = ms === 0 ? onset : later(g, onset, ms);
    const near = g.part.markings.moves.some((m) => Math.abs(m.onset - onset) < 8 * 3360 && m.letter !== a);
    if (near) return null;
    const other = (l: typeof a): Position =>
      random.pick(POSITIONS.filter((p) => p !== positionOf(settingAt(g.planned, onset), l)));
    const words = [
      { onset, letter: a, to: other(a) },
      { onset: second, letter: b, to: other(b) },
    ];
    const part = withWords(g, [...g.part.markings.moves, ...words]);
    return { part, code: 'pedal-time', severity: 'error', onset: second };
  };

export const PEDALS_AND_MARKS: Readonly<Record<string, Plant>> = {
  'a wrong inflection': (g, random) => {
    const p = pickPluck(g, random, (x) => pedalled(x) && alone(g, x));
    if (p === null || !g.marked) return null;
    const { letter } = p.pitch;
    const stands = [settingAt(g.planned, p.onset), settingAt(g.planned, ticks(Math.max(0, p.onset - 1)))];
    const wrong = POSITIONS.filter((a) => stands.every((s) => positionOf(s, letter) !== a));
    if (wrong.length === 0 || g.part.passage.trembles.length > 0) return null;
    const part = replaced(g, p, { pitch: { ...p.pitch, alter: random.pick(wrong) } });
    return { part, code: 'wrong-pedal', severity: 'error', onset: p.onset };
  },
  'a mark missing': (g, random) => {
    const word = needed(g, random);
    if (word === null) return null;
    const part = changedWord(g, word.move, null);
    return { part, code: 'wrong-pedal', severity: 'error', onset: word.first.onset };
  },
  'a mark too late': (g, random) => {
    const word = needed(g, random);
    if (word === null || word.first.onset + 1 >= word.next) return null;
    const part = changedWord(g, word.move, { onset: ticks(word.first.onset + 1) });
    return { part, code: 'wrong-pedal', severity: 'error', onset: word.first.onset, kind: 'late' };
  },
  'a mark too early': (g, random) => {
    const word = needed(g, random);
    if (word?.before === undefined || word.before.onset - 1 <= word.prior) return null;
    const mine = g.part.passage.plucks.filter((p) => p.pitch.letter === word.move.letter);
    if (mine.some((p) => p.onset === word.before?.onset && p.pitch.alter !== word.before.pitch.alter))
      return null;
    const part = changedWord(g, word.move, { onset: ticks(word.before.onset - 1) });
    return { part, code: 'wrong-pedal', severity: 'error', onset: word.before.onset, kind: 'early' };
  },
  'a mark that contradicts': (g, random) => {
    const word = needed(g, random);
    if (word === null) return null;
    const to = random.pick(POSITIONS.filter((p) => p !== word.move.to));
    const part = changedWord(g, word.move, { to });
    return { part, code: 'wrong-pedal', severity: 'error', onset: word.first.onset };
  },
  'an opening diagram that contradicts': (g, random) => {
    const opening = g.part.markings.settings[0];
    const p = pickPluck(g, random, pedalled);
    if (!g.marked || opening === undefined || p === null) return null;
    const { letter } = p.pitch;
    const first = g.part.passage.plucks.find((x) => x.pitch.letter === letter && pedalled(x));
    const word = g.part.markings.moves.find((m) => m.letter === letter)?.onset ?? Infinity;
    const { sweeps, trembles } = g.part.passage;
    if (first === undefined || first.onset >= word || sweeps.length + trembles.length > 0) return null;
    const to = random.pick(POSITIONS.filter((x) => x !== first.pitch.alter));
    const settings = [{ ...opening, setting: withPosition(opening.setting, letter, to) }];
    const part = { ...g.part, markings: { ...g.part.markings, settings } };
    return { part, code: 'wrong-pedal', severity: 'error', onset: first.onset };
  },
  'a mark that changes nothing': (g, random) => {
    const onset = random.pick(onsetsOf(g));
    const letter = random.pick(PEDALS);
    if (!g.marked || g.planned.moves.some((m) => m.letter === letter && m.onset === onset)) return null;
    const word = { onset, letter, to: positionOf(settingAt(g.planned, onset), letter) };
    const part = withWords(g, [...g.part.markings.moves, word]);
    return { part, code: 'pedal-mark', severity: 'warning', onset, kind: 'standing' };
  },
  'a mark that no note needs': (g, random) => {
    if (!g.marked || g.part.passage.sweeps.length + g.part.passage.trembles.length > 0) return null;
    const last = g.part.passage.plucks.at(-1)?.onset ?? ticks(0);
    const onset = ticks(last + 1 + random.below(400));
    const letter = random.pick(PEDALS);
    const to = random.pick(POSITIONS.filter((p) => p !== positionOf(settingAt(g.planned, onset), letter)));
    const part = withWords(g, [...g.part.markings.moves, { onset, letter, to }]);
    return { part, code: 'pedal-mark', severity: 'warning', onset, kind: 'unused' };
  },
  'two pedals of a foot at once': twoWords(0),
  'two pedals of a foot 0.15 s apart': twoWords(150),
  'no time between the notes for two pedals of a foot': (g, random) => {
    if (g.marked) return null;
    const onset = random.pick(onsetsOf(g));
    const next = later(g, onset, 100);
    const set = settingAt(g.planned, onset);
    const letters = ['E', 'F', 'G', 'A'] as const;
    const [a, b] = random.shuffle(letters);
    if (a === undefined || b === undefined) return null;
    const clear = (l: string): boolean =>
      g.part.passage.plucks.every((p) => p.pitch.letter !== l || p.onset <= onset || p.onset > next);
    if (!clear(a) || !clear(b)) return null;
    const pair = [a, b].flatMap((letter, i) => {
      const now = positionOf(set, letter);
      const to = random.pick(POSITIONS.filter((p) => p !== now));
      return [
        pluckAt(onset, { letter, octave: 4, alter: now }, 'L', `${i}now`),
        pluckAt(next, { letter, octave: 4, alter: to }, 'L', `${i}then`),
      ];
    });
    return { part: withPlucks(g, pair), code: 'pedal-time', severity: 'error', onset: next, kind: 'near' };
  },
  'no full setting at the start': (g) => {
    const { plucks, sweeps, trembles } = g.part.passage;
    const onset = ticks(Math.min(...[...plucks, ...sweeps, ...trembles].map((x) => x.onset)));
    if (!g.marked || g.part.markings.moves.length === 0) return null;
    const part = { ...g.part, markings: { ...g.part.markings, settings: [] } };
    return { part, code: 'pedal-mark', severity: 'warning', onset, kind: 'no-opening' };
  },
  'a pedal under a ringing string': (g, random) => {
    const onset = random.pick(onsetsOf(g));
    const next = later(g, onset, 900);
    const letter = random.pick(PEDALS);
    const now = positionOf(settingAt(g.planned, onset), letter);
    const clear = g.part.passage.plucks.every(
      (p) => p.pitch.letter !== letter || p.onset < onset - 1 || p.onset > next,
    );
    const { damps, trembles, sweeps } = g.part.passage;
    if (g.marked || !clear || damps.length + trembles.length + sweeps.length > 0) return null;
    const to = random.pick(POSITIONS.filter((p) => p !== now));
    const pair = [
      pluckAt(onset, { letter, octave: 2, alter: now }, 'L', '0'),
      pluckAt(next, { letter, octave: 5, alter: to }, 'R', '1'),
    ];
    const part = withPlucks(g, pair);
    return { part, code: 'pedal-ring', severity: 'warning', onset: next, names: 'planted0' };
  },
  'a fast chromatic run': (g, random) => {
    const onset = random.pick(onsetsOf(g));
    const until = later(g, onset, 700);
    const busy = g.part.passage.plucks.some(
      (p) => p.hand !== 'L' && p.onset >= later(g, onset, -700) && p.onset <= until,
    );
    // A clash with the first note would be another fault.
    const clashes = g.part.passage.plucks.some(
      (p) => p.onset === onset && p.pitch.letter === 'C' && p.pitch.alter !== 0,
    );
    if (busy || clashes) return null;
    const run = ['C', 'C', 'D', 'D', 'E', 'F'].map((letter, i) =>
      pluckAt(
        later(g, onset, 120 * i),
        { letter: letter as 'C', octave: 5, alter: i === 1 || i === 3 ? 1 : 0 },
        'R',
        String(i),
      ),
    );
    const part = withPlucks(g, run);
    return { part, code: 'chromatic', severity: 'warning', onset, names: 'planted0' };
  },
};
