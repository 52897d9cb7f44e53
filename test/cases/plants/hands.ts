// What a hand cannot reach, hold or follow.
import { type Ticks, ticks } from '../../../src/base/units';
import { stringOf } from '../../../src/harp/strings';
import { type Hand } from '../../../src/music/passage';
import { DEFAULT_MILLI_BPM } from '../../../src/music/tempo';
import {
  type Plant,
  micros,
  later,
  withPassage,
  withPlucks,
  replaced,
  pitchAt,
  pluckAt,
  pickPluck,
  handAt,
  onsetsOf,
  pedalled,
} from './ground';
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

export const HANDS: Readonly<Record<string, Plant>> = {
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
    const list = onsetsOf(g, 'R');
    if (list.length === 0) return null;
    const onset = random.pick(list);
    const high = handAt(g, 'R', onset).map((p) => stringOf(p.pitch));
    const from = Math.min(35, Math.max(...high) + 1);
    const run = Array.from({ length: 8 }, (_, i) => {
      const at = later(g, onset, 45 * (i + 1));
      return pluckAt(at, pitchAt(g, from + i, at), 'R', String(i));
    });
    // One fault, not several: no other note lies on the strings of the run while it passes.
    const until = later(g, onset, 500);
    const met = g.part.passage.plucks.some((p) => {
      const string = stringOf(p.pitch);
      return p.onset >= onset && p.onset <= until && string >= from && string < from + 8;
    });
    if (met) return null;
    // A tempo is written: at one that is merely assumed, a run that both hands could share is a warning.
    const { tempo } = g.part.passage;
    const written = tempo.length > 0 ? tempo : [{ onset: ticks(0), milliBpm: DEFAULT_MILLI_BPM }];
    const part = withPassage(g, { plucks: [...g.part.passage.plucks, ...run], tempo: written });
    return { part, code: 'hand-speed', severity: 'error', onset, kind: 'strings', names: 'planted0' };
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
  'one string repeated fast': (g, random) => {
    const p = pickPluck(g, random, (x) => x.hand !== null && pedalled(x) && Math.abs(x.pitch.alter) < 2);
    if (p?.hand == null) return null;
    const { hand } = p;
    const clear = g.part.passage.plucks.every(
      (q) => q === p || stringOf(q.pitch) !== stringOf(p.pitch) || Math.abs(q.onset - p.onset) > 3360,
    );
    if (!clear) return null;
    const more = [120, 240].map((ms, i) => pluckAt(later(g, p.onset, ms), p.pitch, hand, String(i)));
    const onset = later(g, p.onset, 120);
    const part = withPlucks(g, more);
    return { part, code: 'repeat-rate', severity: 'warning', onset, kind: 'fast', names: 'planted0' };
  },
  'a leap to a chord without time to place': (g, random) => {
    const onset = random.pick(onsetsOf(g));
    const next = later(g, onset, 560);
    const { plucks } = g.part.passage;
    if (plucks.some((p) => p.hand === 'L' && p.onset >= onset && p.onset <= next)) return null;
    const chord = [19, 21, 23].map((s, i) => pluckAt(next, pitchAt(g, s, next), 'L', String(i)));
    const part = withPlucks(g, [pluckAt(onset, pitchAt(g, 7, onset), 'L', 'from'), ...chord]);
    return { part, code: 'placing', severity: 'warning', onset: next };
  },
  'a second finger beside the thumb in a tenth': (g, random) => {
    const free = onsetsOf(g).filter((o) => handAt(g, 'R', o).length === 0);
    if (free.length === 0) return null;
    const onset = random.pick(free);
    const plucks = [21, 24, 29, 30].map((s, i) => pluckAt(onset, pitchAt(g, s, onset), 'R', String(i)));
    return { part: withPlucks(g, plucks), code: 'strain', severity: 'warning', onset, kind: 'thumb' };
  },
  'octaves too fast for a hand': (g, random) => {
    const onset = random.pick(onsetsOf(g));
    const until = later(g, onset, 480);
    if (g.part.passage.plucks.some((p) => p.hand === 'R' && p.onset >= onset && p.onset <= until))
      return null;
    const octaves = [0, 1, 2, 3].flatMap((i) => {
      const at = later(g, onset, 150 * i);
      return [0, 7].map((up) => pluckAt(at, pitchAt(g, 21 + 2 * i + up, at), 'R', `${i}.${up}`));
    });
    return { part: withPlucks(g, octaves), code: 'octaves', severity: 'warning', onset };
  },
};
