/** Played notes for tests, from the few facts that matter. */
import { micros, ticks } from '../../src/base/units';
import type { PlayedNote } from '../../src/harp/performance';
import { stringPitch } from '../../src/harp/strings';
import type { Dynamic, Hand, Technique } from '../../src/music/passage';
import { midiOf } from '../../src/music/pitch';

export interface Sketch {
  readonly string: number;
  /** Seconds. */
  readonly at: number;
  readonly position?: -1 | 0 | 1;
  readonly technique?: Technique;
  readonly dynamic?: Dynamic;
  readonly hand?: Hand | null;
  readonly damp?: number;
  readonly setting?: number;
  /** Seconds and semitones. */
  readonly bends?: readonly (readonly [number, number])[];
}
let count = 0;
export function note(s: Sketch): PlayedNote {
  const id = `n${count++}`;
  const technique = s.technique ?? 'ordinary';
  const at = (seconds: number) => micros(Math.round(seconds * 1e6));
  return {
    id,
    from: id,
    kind: 'pluck',
    string: s.string,
    midi: midiOf(stringPitch(s.string, s.position ?? 0)) + (technique === 'harmonic' ? 12 : 0),
    onset: at(s.at),
    tick: ticks(0),
    duration: ticks(1),
    end: micros(0),
    hand: s.hand ?? null,
    technique,
    dynamic: s.dynamic ?? 'mf',
    velocity: 75,
    release: s.damp === undefined ? null : at(s.damp),
    releasedBy: s.damp === undefined ? null : 'damp',
    ...(s.setting === undefined ? {} : { setting: s.setting }),
    ...(s.bends === undefined ? {} : { bends: s.bends.map(([t, semitones]) => ({ at: at(t), semitones })) }),
  };
}

/** The largest jump of the second difference: what a click is and a wave is not. */
export function sharpest(x: Float32Array, from: number, to: number): number {
  let top = 0;
  for (let i = Math.max(2, from); i < to; i++)
    top = Math.max(top, Math.abs(x[i]! - 2 * x[i - 1]! + x[i - 2]!));
  return top;
}
