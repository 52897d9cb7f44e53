// Builds small planned passages for the tests of the rules.
import { ticks } from '../../src/base/units';
import { CONCERT_HARP } from '../../src/harp/instrument';
import type { Move, PlannedPassage } from '../../src/harp/planned';
import { NATURAL_SETTING, footOf } from '../../src/harp/setting';
import { type Metre, makeBars } from '../../src/music/metre';
import type {
  Dynamic,
  Finger,
  Hand,
  Passage,
  Pluck,
  Sweep,
  Technique,
  Tremble,
} from '../../src/music/passage';
import type { Alter, Letter, Pitch } from '../../src/music/pitch';
import type { Problem } from '../../src/base/problem';
import { PART_RULES, judge } from '../../src/playability/judge';
import { DEFAULT_LIMITS } from '../../src/playability/limits';

/** 'Eb4', 'F#2', 'C4'. */
export function pitch(name: string): Pitch {
  const m = /^([A-G])(bb|b|##|#)?(-?\d)$/.exec(name);
  if (m === null) throw new Error(`not a pitch: ${name}`);
  const alter = { bb: -2, b: -1, '#': 1, '##': 2 }[m[2] ?? ''] ?? 0;
  return { letter: m[1] as Letter, alter: alter as Alter, octave: Number(m[3]) };
}

export interface Note {
  /** Quarters from the start. */
  readonly at: number;
  readonly names: string;
  readonly hand?: Hand | null;
  readonly technique?: Technique;
  readonly dynamic?: Dynamic;
  readonly roll?: 'up' | 'down' | 'none';
  readonly finger?: Finger;
}

const at = (quarters: number) => ticks(Math.round(quarters * 3360));

export interface Extra {
  readonly bpm?: number;
  readonly moves?: readonly {
    readonly at: number;
    readonly to: string;
    readonly from?: -1 | 0 | 1;
    readonly foot?: 'left' | 'right';
  }[];
  readonly sweeps?: readonly (Omit<Sweep, 'onset' | 'duration' | 'dynamic' | 'id'> & {
    readonly at: number;
    readonly lasts: number;
  })[];
  readonly trembles?: readonly {
    readonly at: number;
    readonly lasts: number;
    readonly R: string;
    readonly L: string;
    readonly dynamic?: Tremble['dynamic'];
  }[];
  readonly start?: number;
  readonly tuning?: Readonly<Record<number, -1 | 0 | 1>>;
  readonly metre?: Metre;
  readonly bars?: number;
  /** In quarters; without `below` all strings. */
  readonly damps?: readonly { readonly at: number; readonly below?: number }[];
  readonly fifths?: number;
  readonly keys?: readonly { readonly at: number; readonly fifths: number }[];
}

/** A planned passage on the concert harp, all pedals natural at the start unless given; ♩ = 60 unless given. */
export function planned(notes: readonly Note[], extra: Extra = {}): PlannedPassage {
  const plucks: Pluck[] = [];
  const rolls: { id: string; plucks: string[]; direction: 'up' | 'down' | 'none' }[] = [];
  notes.forEach((n, i) => {
    const ids: string[] = [];
    for (const [k, name] of n.names.split(' ').entries()) {
      const id = `n${i}${'abcdefghi'[k]}`;
      ids.push(id);
      plucks.push({
        id,
        onset: at(n.at),
        duration: at(1),
        pitch: pitch(name),
        hand: n.hand === undefined ? 'R' : n.hand,
        finger: n.finger ?? null,
        technique: n.technique ?? 'ordinary',
        dynamic: n.dynamic ?? 'mf',
      });
    }
    if (n.roll !== undefined) rolls.push({ id: `r${i}`, plucks: ids, direction: n.roll });
  });
  const moves = (extra.moves ?? []).map((m): Move => {
    const { letter, alter } = pitch(`${m.to}4`);
    return {
      onset: at(m.at),
      letter,
      from: m.from ?? 0,
      to: alter as -1 | 0 | 1,
      foot: m.foot ?? footOf(letter),
    };
  });
  const passage: Passage = {
    title: 'test',
    bars: makeBars(extra.metre ?? { beats: 4, unit: 4 }, extra.bars ?? 8),
    tempo: [{ onset: ticks(0), milliBpm: (extra.bpm ?? 60) * 1000 }],
    fifths: extra.fifths ?? 0,
    keys: (extra.keys ?? []).map((k) => ({ onset: at(k.at), fifths: k.fifths })),
    plucks,
    rolls,
    sweeps: (extra.sweeps ?? []).map((s, i) => ({
      id: `s${i}`,
      onset: at(s.at),
      duration: at(s.lasts),
      hand: s.hand,
      from: s.from,
      to: s.to,
      settings: s.settings,
      dynamic: 'mf',
    })),
    trembles: (extra.trembles ?? []).map((t, i) => ({
      id: `t${i}`,
      onset: at(t.at),
      duration: at(t.lasts),
      notes: (['R', 'L'] as const).flatMap((hand) =>
        t[hand]
          .split(' ')
          .filter((name) => name !== '')
          .map((name, k) => ({ id: `t${i}${hand}${k}`, pitch: pitch(name), hand })),
      ),
      dynamic: t.dynamic ?? 'pp',
    })),
    chords: [],
    damps: (extra.damps ?? []).map((d) => ({
      onset: at(d.at),
      ...(d.below === undefined ? {} : { below: d.below }),
    })),
  };
  return {
    passage,
    instrument: CONCERT_HARP,
    start: extra.start ?? NATURAL_SETTING,
    moves,
    tuning: extra.tuning ?? {},
  };
}

/** Notes one after another, `per` quarters apart. */
export const line = (names: string, per: number, hand: Hand | null = 'R', from = 0): Note[] =>
  names.split(' ').map((n, i) => ({ at: from + i * per, names: n.replaceAll('+', ' '), hand }));

const verdict = (x: Problem): string =>
  [x.severity, x.value, '>', x.limit, x.detail?.['kind'] ?? ''].join(' ').trim();

/** What one rule says: 'severity value limit kind'. */
export const verdicts = (p: PlannedPassage, code: string): string[] =>
  judge(p)
    .filter((x) => x.code === code)
    .map(verdict);

/** The same of the rules for whole parts, with the onset in quarters first. */
export const partVerdicts = (p: PlannedPassage, code: string, kind?: string): string[] =>
  judge(p, DEFAULT_LIMITS, PART_RULES)
    .filter((x) => x.code === code && (kind === undefined || x.detail?.['kind'] === kind))
    .map((x) => `${x.where.kind === 'music' ? x.where.onset / 3360 : ''} ${verdict(x)}`);

export const codes = (p: PlannedPassage): string[] => judge(p).map((x) => `${x.severity} ${x.code}`);
