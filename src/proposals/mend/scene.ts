/** The stretch in which a repair is looked for: what is struck there after the edits so far, looked up by place. */

import type { Ticks } from '../../base/units';
import type { Instrument } from '../../harp/instrument';
import type { Hand, Passage, Pluck } from '../../music/passage';
import { type Pitch, midiOf } from '../../music/pitch';
import type { PedalMarks } from '../marks';
import { WEIGHTS, lossOf } from './weights';
import type { Edit, RepairKind, Step } from './types';

/** A note outside the stretch that its letter's pedal has to serve. */
export interface Around {
  readonly onset: Ticks;
  readonly pitch: Pitch;
}

export interface Scene {
  /** What is struck in the stretch, edited; every pluck has a hand. */
  readonly passage: Passage;
  /** Plain marks, edited; null for a part without. */
  readonly marks: PedalMarks | null;
  readonly instrument: Instrument;
  /** Whether hands may be changed: they were given, and can be written down. */
  readonly handsGiven: boolean;
  /** For a part with marks: the last notes of each letter before the stretch, and the first after it. */
  readonly around: readonly Around[];
  /** Weights of the plucks as they were at first. */
  readonly weights: ReadonlyMap<string, number>;
  readonly byId: ReadonlyMap<string, Pluck>;
  readonly byOnset: ReadonlyMap<number, readonly Pluck[]>;
}

export function sceneOf(
  base: Pick<Scene, 'instrument' | 'handsGiven' | 'weights' | 'marks' | 'passage' | 'around'>,
): Scene {
  const byOnset = new Map<number, Pluck[]>();
  for (const p of base.passage.plucks) {
    const list = byOnset.get(p.onset);
    if (list === undefined) byOnset.set(p.onset, [p]);
    else list.push(p);
  }
  return { ...base, byId: new Map(base.passage.plucks.map((p) => [p.id, p])), byOnset };
}

/** Everything struck with a pluck, itself included, from low to high. */
export const chordOf = (scene: Scene, p: Pluck): readonly Pluck[] => scene.byOnset.get(p.onset) ?? [p];

/** What one hand strikes with a pluck. */
export const handOf = (scene: Scene, p: Pluck): readonly Pluck[] =>
  chordOf(scene, p).filter((q) => q.hand === p.hand);

export const otherHand = (hand: Hand | null): Hand => (hand === 'R' ? 'L' : 'R');

/** Another note of the onset has the same pitch class, and the note is neither line nor bass. */
export function isDoubling(scene: Scene, p: Pluck): boolean {
  const chord = chordOf(scene, p);
  const key = midiOf(p.pitch);
  const twin = chord.some((q) => q.id !== p.id && midiOf(q.pitch) === key);
  if (twin) return true;
  const keys = chord.map((q) => midiOf(q.pitch));
  const outer = key === Math.max(...keys) || key === Math.min(...keys);
  if (outer && weightOf(scene, p.id) > WEIGHTS.inner) return false;
  return chord.some((q) => q.id !== p.id && (midiOf(q.pitch) - key) % 12 === 0);
}

export const weightOf = (scene: Scene, id: string): number => scene.weights.get(id) ?? 40;

/** A step with its loss: the notes concerned give the weight. */
export function step(scene: Scene, kind: RepairKind, edits: readonly Edit[], more = 0): Step {
  const ids = new Set(edits.flatMap((e) => ('id' in e ? [e.id] : 'ids' in e ? [e.ids[0] as string] : [])));
  return {
    kind,
    edits,
    loss:
      lossOf(
        kind,
        [...ids].map((id) => weightOf(scene, id)),
      ) + more,
  };
}

/** Ticks from a pluck to the next onset of its hand; null after the last. */
export function gapAfter(scene: Scene, p: Pluck): number | null {
  let next = Infinity;
  for (const q of scene.passage.plucks) {
    if (q.hand === p.hand && q.onset > p.onset && q.onset < next) next = q.onset;
  }
  return Number.isFinite(next) ? next - p.onset : null;
}
