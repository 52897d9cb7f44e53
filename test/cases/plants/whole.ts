// What a harpist says of longer stretches.
import { ticks } from '../../../src/base/units';
import { stringOf } from '../../../src/harp/strings';
import { midiOf } from '../../../src/music/pitch';
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
  onsetsOf,
} from './ground';
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

export const WHOLE: Readonly<Record<string, Plant>> = {
  'a bisbigliando without end': tremble(12_000, false, 'stamina'),
  'the top octave forced': (g, random) => {
    const onset = random.pick(onsetsOf(g));
    const pluck = pluckAt(onset, pitchAt(g, 40 + random.below(7), onset), 'R', 'top', { dynamic: 'fff' });
    return { part: withPlucks(g, [pluck]), code: 'balance', severity: 'warning', onset, kind: 'forced' };
  },
  'a bass step over a ringing bass': (g, random) => {
    const list = onsetsOf(g);
    const i = random.below(Math.max(1, list.length - 1));
    const [a, b] = [list[i], list[i + 1]];
    if (a === undefined || b === undefined) return null;
    const apart = micros(g, b) - micros(g, a);
    if (apart > 1_800_000 || apart < 260_000) return null;
    const damped = g.part.passage.damps.some((d) => d.onset > a && d.onset <= b);
    const [low, next] = [pitchAt(g, 3, a), pitchAt(g, 2, b)];
    const step = Math.abs(midiOf(low) - midiOf(next));
    if (damped || step === 0 || step > 2) return null;
    const plucks = [pluckAt(a, low, 'L', '0'), pluckAt(b, next, 'L', '1')];
    return { part: withPlucks(g, plucks), code: 'damping', severity: 'warning', onset: b, names: 'planted0' };
  },
  'a bisbigliando marked loud': tremble(1500, true, 'bisbigliando'),
  'octaves without a break': (g, random) => {
    const onset = random.pick(onsetsOf(g));
    const until = later(g, onset, 17_500);
    const { plucks } = g.part.passage;
    if (until > (plucks.at(-1)?.onset ?? 0) || g.part.passage.trembles.length > 0) return null;
    const rest = plucks.filter((p) => p.hand !== 'L' || p.onset < later(g, onset, -2000) || p.onset > until);
    const octaves = Array.from({ length: 35 }, (_, i) => {
      const at = later(g, onset, 500 * i);
      return [0, 7].map((up) => pluckAt(at, pitchAt(g, 9 + (i % 5) + up, at), 'L', `${i}.${up}`));
    });
    const part = withPassage(g, { plucks: [...rest, ...octaves.flat()] });
    const names = { names: 'planted0.0' };
    return { part, code: 'stamina', severity: 'warning', onset, kind: 'octaves', ...names };
  },
  'a single low string marked loud': (g, random) => {
    const p = pickPluck(g, random, (x) => x.hand === 'L' && x.technique === 'ordinary');
    if (p === null || g.part.passage.plucks.some((q) => q !== p && q.onset === p.onset)) return null;
    const part = replaced(g, p, { pitch: pitchAt(g, 3, p.onset), dynamic: 'ff' });
    return { part, code: 'balance', severity: 'warning', onset: p.onset, kind: 'low' };
  },
  'a close chord in the bass': (g, random) => {
    const onset = random.pick(onsetsOf(g));
    const low = g.part.passage.plucks.some((p) => p.onset === onset && stringOf(p.pitch) < 14);
    if (low) return null;
    const plucks = [8, 10].map((s, i) => pluckAt(onset, pitchAt(g, s, onset), 'L', String(i)));
    return { part: withPlucks(g, plucks), code: 'blur', severity: 'warning', onset };
  },
  'all strings damped without time': (g, random) => {
    const list = onsetsOf(g);
    const i = random.below(Math.max(1, list.length - 1));
    const [a, b] = [list[i], list[i + 1]];
    if (a === undefined || b === undefined || micros(g, b) - micros(g, a) > 400_000) return null;
    const onset = ticks(a + Math.max(1, (b - a) >> 1));
    const part = withPassage(g, { damps: [...g.part.passage.damps, { onset }] });
    return { part, code: 'damp-time', severity: 'warning', onset, kind: 'all' };
  },
  'a key of six sharps': (g, random) => {
    const { bars, keys = [] } = g.part.passage;
    const bar = random.pick(bars);
    if (keys.length > 0 || bar.index === 0) return null;
    const part = withPassage(g, { keys: [{ onset: bar.start, fifths: 6 }] });
    return { part, code: 'sharp-key', severity: 'warning', onset: bar.start };
  },
};
