// Techniques where they do not speak.
import { type Ticks, ticks } from '../../../src/base/units';
import { settingAt } from '../../../src/harp/planned';
import { PEDALS, positionOf, withPosition } from '../../../src/harp/setting';
import { stringOf } from '../../../src/harp/strings';
import { type Pluck } from '../../../src/music/passage';
import {
  type Plant,
  POSITIONS,
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
} from './ground';
const technique =
  (name: Pluck['technique'], code: string, test: (string: number) => boolean): Plant =>
  (g, random) => {
    const p = pickPluck(g, random, (x) => test(stringOf(x.pitch)));
    if (p === null) return null;
    const part = replaced(g, p, { technique: name });
    return { part, code, severity: 'warning', onset: p.onset, kind: 'range' };
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

export const TECHNIQUES: Readonly<Record<string, Plant>> = {
  'a harmonic outside its range': technique('harmonic', 'harmonics', (s) => s > 31 || s < 11),
  'too high near the soundboard': technique('table', 'table', (s) => s > 31),
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
  'to the soundboard at once': (g, random) => {
    const hand = random.pick(['R', 'L'] as const);
    const list = onsetsOf(g, hand);
    const fit = list.slice(1).filter((o, i) => {
      const all = [...handAt(g, hand, o), ...handAt(g, hand, list[i] as Ticks)];
      const near = micros(g, o) - micros(g, list[i] as Ticks) < 240_000;
      return near && all.every((p) => p.technique === 'ordinary' && stringOf(p.pitch) <= 31);
    });
    if (fit.length === 0) return null;
    const onset = random.pick(fit);
    const plucks = g.part.passage.plucks.map((p) =>
      p.hand === hand && p.onset === onset ? { ...p, technique: 'table' as const } : p,
    );
    const part = withPassage(g, { plucks });
    return { part, code: 'table', severity: 'warning', onset, kind: 'travel' };
  },
  'a harmonic beside an open string': (g, random) => {
    const p = pickPluck(
      g,
      random,
      (x) => x.hand !== null && stringOf(x.pitch) > 11 && stringOf(x.pitch) < 31,
    );
    if (p?.hand == null || handAt(g, p.hand, p.onset).length !== 1) return null;
    const open = pluckAt(p.onset, pitchAt(g, stringOf(p.pitch) - 3, p.onset), p.hand, 'open');
    const harmonic = withPlucks({ ...g, part: replaced(g, p, { technique: 'harmonic' }) }, [open]);
    return { part: harmonic, code: 'harmonics', severity: 'warning', onset: p.onset, kind: 'mixed' };
  },
  'an étouffé in the right hand': (g, random) => {
    const p = pickPluck(g, random, (x) => x.hand === 'R');
    if (p === null || g.part.passage.plucks.some((x) => x.technique === 'etouffe')) return null;
    const part = replaced(g, p, { technique: 'etouffe' });
    return { part, code: 'etouffe', severity: 'warning', onset: p.onset, kind: 'hand' };
  },
  'a glissando whose setting is not shown': (g, random) => {
    const onset = random.pick(onsetsOf(g));
    if (!g.marked || g.part.passage.sweeps.length > 0) return null;
    const now = settingAt(g.planned, onset);
    const drawn = g.part.markings.settings;
    if (drawn.length !== 1 || drawn[0]?.setting === now) return null;
    const part = withPassage(g, {
      sweeps: [
        {
          id: 'plantedSweep',
          onset,
          duration: ticks(later(g, onset, 1000) - onset),
          hand: 'R' as const,
          from: 14,
          to: 35,
          settings: [now],
          dynamic: 'mf' as const,
        },
      ],
    });
    return { part, code: 'pedal-mark', severity: 'warning', onset, kind: 'glissando' };
  },
};
