// Faults of known kinds, each planted into a part at a place that chance picks; null where the part has no such place.
import type { Random } from '../../src/base/random';
import { type Ticks, ticks } from '../../src/base/units';
import { type PlannedPassage, settingAt } from '../../src/harp/planned';
import { PEDALS, type Position, footOf, positionOf, withPosition } from '../../src/harp/setting';
import { stringLetter, stringOf, stringPitch } from '../../src/harp/strings';
import type { Hand, Pluck } from '../../src/music/passage';
import { type Pitch, midiOf } from '../../src/music/pitch';
import { DEFAULT_MILLI_BPM, tempoMap } from '../../src/music/tempo';
import type { PartToCheck } from '../../src/proposals/check';

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

const POSITIONS: readonly Position[] = [-1, 0, 1];
const micros = (g: Ground, at: Ticks): number => tempoMap(g.part.passage.tempo).microsAt(at);
/** The tick that lies some milliseconds after another. */
function later(g: Ground, at: Ticks, ms: number): Ticks {
  const map = tempoMap(g.part.passage.tempo);
  return map.ticksAt((map.microsAt(at) + ms * 1000) as never);
}

const withPassage = (g: Ground, change: Partial<PartToCheck['passage']>): PartToCheck => {
  const passage = { ...g.part.passage, ...change };
  const plucks = [...passage.plucks].sort(
    (a, b) => a.onset - b.onset || stringOf(a.pitch) - stringOf(b.pitch),
  );
  return { ...g.part, passage: { ...passage, plucks } };
};
const withPlucks = (g: Ground, more: readonly Pluck[]): PartToCheck =>
  withPassage(g, { plucks: [...g.part.passage.plucks, ...more] });
const replaced = (g: Ground, pluck: Pluck, change: Partial<Pluck>): PartToCheck =>
  withPassage(g, { plucks: g.part.passage.plucks.map((p) => (p === pluck ? { ...p, ...change } : p)) });

/** The pitch that a string sounds at an instant as the part is played. */
const pitchAt = (g: Ground, string: number, at: Ticks): Pitch =>
  stringPitch(string, positionOf(settingAt(g.planned, at), stringLetter(string)));

const pluckAt = (onset: Ticks, pitch: Pitch, hand: Hand, id: string, more: Partial<Pluck> = {}): Pluck => ({
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

const pickPluck = (g: Ground, random: Random, test: (p: Pluck) => boolean): Pluck | null => {
  const fit = g.part.passage.plucks.filter(test);
  return fit.length === 0 ? null : random.pick(fit);
};
const handAt = (g: Ground, hand: Hand, onset: Ticks): Pluck[] =>
  g.part.passage.plucks.filter((p) => p.hand === hand && p.onset === onset);
const onsetsOf = (g: Ground, hand?: Hand): Ticks[] => [
  ...new Set(g.part.passage.plucks.filter((p) => hand === undefined || p.hand === hand).map((p) => p.onset)),
];
const pedalled = (p: Pluck): boolean => stringOf(p.pitch) > 1;
const alone = (g: Ground, p: Pluck): boolean =>
  g.part.passage.plucks.every((q) => q === p || q.onset !== p.onset || q.pitch.letter !== p.pitch.letter);

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

const again =
  (code: string, hands: 'same' | 'other'): Plant =>
  (g, random) => {
    const p = pickPluck(g, random, (x) => x.hand !== null && pedalled(x));
    if (p === null) return null;
    const onset = later(g, p.onset, 50);
    if (onset <= p.onset) return null;
    const hand: Hand = (p.hand === 'R') === (hands === 'same') ? 'R' : 'L';
    const both = g.part.passage.plucks.some(
      (q) => q !== p && q.onset === p.onset && stringOf(q.pitch) === stringOf(p.pitch),
    );
    if (both) return null;
    const part = withPlucks(g, [pluckAt(onset, p.pitch, hand, 'again')]);
    return { part, code, severity: 'error', onset };
  };

const technique =
  (name: Pluck['technique'], code: string, test: (string: number) => boolean): Plant =>
  (g, random) => {
    const p = pickPluck(g, random, (x) => test(stringOf(x.pitch)));
    if (p === null) return null;
    const part = replaced(g, p, { technique: name });
    return { part, code, severity: 'warning', onset: p.onset, kind: 'range' };
  };

const tremble =
  (ms: number, loud: boolean, code: string): Plant =>
  (g, random) => {
    const onset = random.pick(onsetsOf(g));
    const notes = [21, 23, 25, 26].map((string, i) => ({
      id: `planted${i}`,
      pitch: pitchAt(g, string, onset),
      hand: i < 2 ? ('L' as const) : ('R' as const),
    }));
    const t = {
      id: 'plantedTremble',
      onset,
      duration: ticks(later(g, onset, ms) - onset),
      notes,
      dynamic: loud ? ('ff' as const) : ('pp' as const),
    };
    const part = withPassage(g, { trembles: [...g.part.passage.trembles, t] });
    const names = loud ? {} : { names: t.id };
    return { part, code, severity: 'warning', onset, kind: loud ? 'loud' : 'bisbigliando', ...names };
  };

const sweep =
  (ms: number, wrong: boolean): Plant =>
  (g, random) => {
    const onset = random.pick(onsetsOf(g));
    if (!g.marked || g.part.passage.sweeps.length > 0) return null;
    const now = settingAt(g.planned, onset);
    const letter = random.pick(PEDALS);
    const until = later(g, onset, ms);
    // A pedal that moves meanwhile would be a fault of its own, or mend this one.
    if (g.planned.moves.some((m) => m.onset >= onset - 1 && m.onset <= until)) return null;
    const to = random.pick(POSITIONS.filter((p) => p !== positionOf(now, letter)));
    const setting = wrong ? withPosition(now, letter, to) : now;
    const s = {
      id: 'plantedSweep',
      onset,
      duration: ticks(until - onset),
      hand: 'R' as const,
      from: 14,
      to: 35,
      settings: [setting],
      dynamic: 'mf' as const,
    };
    const part = withPassage(g, { sweeps: [s] });
    return wrong
      ? { part, code: 'wrong-pedal', severity: 'error', onset, kind: 'sweep' }
      : { part, code: 'sweep', severity: 'warning', onset, kind: 'fast' };
  };

/** Every kind of fault, by name. */
export const PLANTS: Readonly<Record<string, Plant>> = {
  'above the compass': (g, random) => {
    const p = pickPluck(g, random, () => true);
    if (p === null) return null;
    const part = replaced(g, p, { pitch: { ...p.pitch, octave: 8 } });
    return { part, code: 'range', severity: 'error', onset: p.onset };
  },
  'below the compass': (g, random) => {
    const p = pickPluck(g, random, () => true);
    if (p === null) return null;
    const part = replaced(g, p, { pitch: { ...p.pitch, octave: 0 } });
    return { part, code: 'range', severity: 'error', onset: p.onset };
  },
  'one letter in two inflections': (g, random) => {
    const p = pickPluck(g, random, (x) => pedalled(x) && x.pitch.octave < 6 && Math.abs(x.pitch.alter) <= 1);
    if (p === null) return null;
    const alter = random.pick(POSITIONS.filter((a) => a !== p.pitch.alter));
    const pitch = { ...p.pitch, alter, octave: p.pitch.octave + 1 };
    const part = withPlucks(g, [pluckAt(p.onset, pitch, p.hand ?? 'R', 'clash')]);
    return { part, code: 'clash', severity: 'error', onset: p.onset, kind: 'letter' };
  },
  'both hands on one string': (g, random) => {
    const p = pickPluck(g, random, (x) => x.hand !== null && x.staff === undefined);
    if (p === null) return null;
    const part = withPlucks(g, [pluckAt(p.onset, p.pitch, p.hand === 'R' ? 'L' : 'R', 'both')]);
    return { part, code: 'clash', severity: 'error', onset: p.onset, kind: 'string' };
  },
  'five fingers': (g, random) => {
    const p = pickPluck(
      g,
      random,
      (x) => x.hand !== null && stringOf(x.pitch) > 12 && stringOf(x.pitch) < 36,
    );
    if (p?.hand == null) return null;
    const { hand, onset } = p;
    const mine = new Set(handAt(g, hand, onset).map((x) => stringOf(x.pitch)));
    const free = [1, 2, 3, 4, 5, 6, 7, 8].map((k) => Math.min(...mine) + k).filter((s) => !mine.has(s));
    const more = free.slice(0, Math.max(1, 5 - mine.size));
    const plucks = more.map((s, i) => pluckAt(onset, pitchAt(g, s, onset), hand, String(i)));
    return { part: withPlucks(g, plucks), code: 'four-fingers', severity: 'error', onset };
  },
  'a twelfth and more, unrolled': (g, random) => {
    const p = pickPluck(g, random, (x) => x.hand !== null && stringOf(x.pitch) > 9 && stringOf(x.pitch) < 32);
    if (p?.hand == null) return null;
    const { hand, onset } = p;
    const low = Math.min(...handAt(g, hand, onset).map((x) => stringOf(x.pitch)));
    const pitch = pitchAt(g, low + 11 + random.below(4), onset);
    const part = withPlucks(g, [pluckAt(onset, pitch, hand, 'wide')]);
    return { part, code: 'span', severity: 'error', onset, kind: 'unrolled' };
  },
  'right hand below E2': (g, random) => {
    const onset = random.pick(onsetsOf(g));
    const part = withPlucks(g, [pluckAt(onset, pitchAt(g, 2 + random.below(7), onset), 'R', 'low')]);
    return { part, code: 'reach', severity: 'error', onset, kind: 'low' };
  },
  'one string again, one hand': again('repeat-rate', 'same'),
  'one string again, other hand': again('shared-string', 'other'),
  'a hand above 16 strings a second': (g, random) => {
    const onset = random.pick(onsetsOf(g, 'R'));
    const high = handAt(g, 'R', onset).map((p) => stringOf(p.pitch));
    const from = Math.min(35, Math.max(...high) + 1);
    const run = Array.from({ length: 8 }, (_, i) => {
      const at = later(g, onset, 45 * (i + 1));
      return pluckAt(at, pitchAt(g, from + i, at), 'R', String(i));
    });
    // A tempo is written: at one that is merely assumed, a run that both hands could share is a warning.
    const { tempo } = g.part.passage;
    const written = tempo.length > 0 ? tempo : [{ onset: ticks(0), milliBpm: DEFAULT_MILLI_BPM }];
    const part = withPassage(g, { plucks: [...g.part.passage.plucks, ...run], tempo: written });
    return { part, code: 'hand-speed', severity: 'error', onset, kind: 'strings', names: 'planted0' };
  },
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
  'a harmonic outside its range': technique('harmonic', 'harmonics', (s) => s > 31 || s < 11),
  'too high near the soundboard': technique('table', 'table', (s) => s > 31),
  'a bisbigliando marked loud': tremble(1500, true, 'bisbigliando'),
  'a bisbigliando without end': tremble(12_000, false, 'stamina'),
  'a glissando in the wrong setting': sweep(1000, true),
  'a glissando too fast': sweep(200, false),
  'étouffés too fast': (g, random) => {
    const onset = random.pick(onsetsOf(g));
    const at = [onset, later(g, onset, 200), later(g, onset, 400)];
    const busy = g.part.passage.plucks.some((p) => p.hand === 'L' && p.technique === 'etouffe');
    if (busy) return null;
    const plucks = at.map((t, i) =>
      pluckAt(t, pitchAt(g, 14 + 2 * i, t), 'L', String(i), { technique: 'etouffe' }),
    );
    return { part: withPlucks(g, plucks), code: 'etouffe', severity: 'warning', onset, kind: 'rate' };
  },
  'a leap without time': (g, random) => {
    const hand = random.pick(['R', 'L'] as const);
    const list = onsetsOf(g, hand);
    const fit = list.slice(1).flatMap((onset, i) => {
      const before = handAt(g, hand, list[i] as Ticks);
      const now = handAt(g, hand, onset);
      const time = micros(g, onset) - micros(g, list[i] as Ticks);
      const [a, b] = [before[0], now[0]];
      if (before.length !== 1 || now.length !== 1 || a === undefined || b === undefined) return [];
      if (time > 400_000 || [a, b].some((x) => Math.abs(x.pitch.alter) > 1)) return [];
      const up = stringOf(b.pitch) + 21;
      return up - stringOf(a.pitch) < 18 || up > 46 ? [] : [b];
    });
    if (fit.length === 0) return null;
    const p = random.pick(fit);
    const part = replaced(g, p, { pitch: { ...p.pitch, octave: p.pitch.octave + 3 } });
    return { part, code: 'leap', severity: 'warning', onset: p.onset };
  },
  'a gap between the lowest fingers': (g, random) => {
    const free = onsetsOf(g).filter((o) => handAt(g, 'L', o).length === 0);
    if (free.length === 0) return null;
    const onset = random.pick(free);
    const plucks = [12, 17, 19, 21].map((s, i) => pluckAt(onset, pitchAt(g, s, onset), 'L', String(i)));
    return { part: withPlucks(g, plucks), code: 'spacing', severity: 'warning', onset };
  },
  'the top octave forced': (g, random) => {
    const onset = random.pick(onsetsOf(g));
    const pluck = pluckAt(onset, pitchAt(g, 40 + random.below(7), onset), 'R', 'top', { dynamic: 'fff' });
    return { part: withPlucks(g, [pluck]), code: 'balance', severity: 'warning', onset, kind: 'forced' };
  },
  'a bass step over a ringing bass': (g, random) => {
    const list = onsetsOf(g);
    const i = random.below(Math.max(1, list.length - 1));
    const [a, b] = [list[i], list[i + 1]];
    if (a === undefined || b === undefined || micros(g, b) - micros(g, a) > 1_800_000) return null;
    const damped = g.part.passage.damps.some((d) => d.onset > a && d.onset <= b);
    const [low, next] = [pitchAt(g, 3, a), pitchAt(g, 2, b)];
    const apart = Math.abs(midiOf(low) - midiOf(next));
    if (damped || apart === 0 || apart > 2) return null;
    const plucks = [pluckAt(a, low, 'L', '0'), pluckAt(b, next, 'L', '1')];
    return { part: withPlucks(g, plucks), code: 'damping', severity: 'warning', onset: b, names: 'planted0' };
  },
};
