// One bar of piano music as the rules of reduction see it, and what each finds there.
import { ticks } from '../../src/base/units';
import { makeBars } from '../../src/music/metre';
import type { Hand, Passage, Pluck, Tremble } from '../../src/music/passage';
import { type Pitch, harpSpellings, midiOf, pitchName } from '../../src/music/pitch';
import { tempoMap } from '../../src/music/tempo';
import { RULES } from '../../src/reduction/rules/index';
import { rolesOf } from '../../src/reduction/roles';
import type { BarView, Rewrite } from '../../src/reduction/types';

export const EIGHTH = 1680;

export function pluck(id: string, at: number, key: number | Pitch, hand: Hand, length = EIGHTH): Pluck {
  const pitch = typeof key === 'number' ? (harpSpellings(key)[0] as Pitch) : key;
  const [onset, duration] = [ticks(at), ticks(length)];
  return { id, onset, duration, pitch, hand, finger: null, technique: 'ordinary', dynamic: 'mf' };
}

export interface Extra {
  readonly trembles?: readonly Tremble[];
  readonly staccato?: readonly string[];
  readonly sustain?: BarView['sustain'];
}

export function view(plucks: readonly Pluck[], extra: Extra = {}): BarView {
  const bars = makeBars({ beats: 4, unit: 4 }, 1);
  const sorted = [...plucks].sort((a, b) => a.onset - b.onset || midiOf(a.pitch) - midiOf(b.pitch));
  const tempo = [{ onset: ticks(0), milliBpm: 120_000 }];
  const passage: Passage = {
    title: '',
    bars,
    tempo,
    fifths: 0,
    plucks: sorted,
    rolls: [],
    sweeps: [],
    trembles: extra.trembles ?? [],
    chords: [],
    damps: [],
  };
  const map = tempoMap(tempo);
  return {
    passage,
    bar: bars[0] as BarView['bar'],
    plucks: sorted,
    trembles: extra.trembles ?? [],
    roles: rolesOf(passage, []),
    chordAt: () => [],
    microsAt: (at) => map.microsAt(ticks(at)),
    sustain: extra.sustain ?? [],
    tuning: new Map([
      [0, 0],
      [1, 0],
    ]),
    staccato: new Set(extra.staccato ?? []),
  };
}

export const find = (code: string, v: BarView): Rewrite[] => {
  const rule = RULES.find((r) => r.code === code);
  if (rule === undefined) throw new Error(`no rule ${code}`);
  return rule.find(v);
};
export const run = (keys: readonly number[], step: number, hand: Hand): Pluck[] =>
  keys.map((key, i) => pluck(`n${i}`, i * step, key, hand, step));
/** A melody note held over the bar, so that what moves below is not the top line. */
export const above = pluck('melody', 0, 88, 'R', 13440);
export const below = pluck('ground', 0, 26, 'L', 13440);
export const names = (r: Rewrite | undefined): string[] => (r?.add ?? []).map((p) => pitchName(p.pitch));
