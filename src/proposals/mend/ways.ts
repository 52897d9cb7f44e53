/** Which repairs are tried for which error. Every one is judged before it is offered, so a vain one costs only time. */

import type { Problem } from '../../base/problem';
import type { Pluck } from '../../music/passage';
import { idsOf, onsetOf } from './faults';
import { type Scene, chordOf, handOf, otherHand, step } from './scene';
import type { Edit, RepairKind, Step } from './types';
import {
  alternated,
  drops,
  easierLine,
  octaves,
  otherHands,
  respellings,
  rolls,
  secondHarp,
  shares,
  sharedRespellings,
  splits,
  thinnings,
} from './ways-notes';
import { pedalWays } from './ways-pedals';
import { runWays, slower } from './ways-runs';

/** Kinds that can help against a code; all of them where a code is not listed. */
const HELPS: Readonly<Record<string, readonly RepairKind[]>> = {
  range: ['respell', 'drop', 'octave', 'thin', 'second-harp'],
  discless: ['respell', 'drop', 'octave', 'thin', 'second-harp'],
  clash: ['respell', 'drop', 'hand', 'octave', 'homophone', 'split', 'thin', 'second-harp', 'ossia'],
  'wrong-pedal': ['respell', 'pedal', 'drop', 'octave', 'thin', 'second-harp', 'ossia'],
  'pedal-time': ['respell', 'pedal', 'drop', 'thin', 'slow', 'second-harp', 'ossia'],
  'four-fingers': ['drop', 'hand', 'octave', 'split', 'thin', 'second-harp', 'ossia'],
  span: ['drop', 'hand', 'octave', 'roll', 'split', 'thin', 'slow', 'second-harp', 'ossia'],
  reach: ['drop', 'hand', 'octave', 'thin', 'second-harp'],
  'shared-string': ['drop', 'hand', 'octave', 'homophone', 'thin', 'slow', 'second-harp', 'ossia'],
  'repeat-rate': ['drop', 'hand', 'octave', 'homophone', 'thin', 'slow', 'second-harp', 'ossia'],
  'hand-speed': ['drop', 'hand', 'thin', 'slow', 'second-harp', 'ossia'],
};

/** Many notes in one error are a run: it is changed as a whole. */
const RUN = 9;

/** Plucks of a tremble or ends of a sweep that a problem names. */
function otherWays(scene: Scene, problem: Problem): Step[] {
  const ids = new Set(idsOf(problem));
  const out: Step[] = [];
  const leave = (id: string): Edit => ({ kind: 'leave-out', id });
  for (const t of scene.passage.trembles) {
    const named = t.notes.filter((n) => ids.has(n.id));
    for (const n of named) {
      out.push(step(scene, 'thin', [leave(n.id)]));
      out.push(step(scene, 'hand', [{ kind: 'hand', id: n.id, to: otherHand(n.hand) }]));
    }
    if (named.length > 0) out.push(step(scene, 'second-harp', [leave(t.id)]));
  }
  const { lowest, highest } = scene.instrument;
  const inside = (s: number): number => Math.min(highest, Math.max(lowest, s));
  for (const w of scene.passage.sweeps.filter((s) => ids.has(s.id))) {
    out.push(step(scene, 'hand', [{ kind: 'hand', id: w.id, to: otherHand(w.hand) }]));
    const ends = { from: inside(w.from), to: inside(w.to) };
    if (ends.from !== w.from || ends.to !== w.to) {
      out.push(step(scene, 'thin', [{ kind: 'sweep', id: w.id, ...ends }]));
    }
    out.push(step(scene, 'second-harp', [leave(w.id)]));
  }
  return out;
}

/** The notes that a problem is about, with those whose string or hand it names beside them. */
function concerned(scene: Scene, problem: Problem): Pluck[] {
  const named = idsOf(problem).flatMap((id) => scene.byId.get(id) ?? []);
  if (named.length > 0) return named;
  return [...(scene.byOnset.get(onsetOf(problem)) ?? [])];
}

/** Steps against a problem, in no particular order; search.ts takes the least loss first. */
export function waysAgainst(scene: Scene, problem: Problem): Step[] {
  const { code } = problem;
  const plucks = concerned(scene, problem);
  const helps = HELPS[code];
  const can = (kind: RepairKind): boolean => helps === undefined || helps.includes(kind);
  const isRun = plucks.length >= RUN || code === 'hand-speed';
  const out: Step[] = [];
  if (can('slow')) out.push(...slower(scene, problem, plucks));
  out.push(...otherWays(scene, problem));
  if (scene.marks !== null && (can('pedal') || can('respell'))) out.push(...pedalWays(scene, problem));
  if (isRun) {
    out.push(...runWays(scene, problem).filter((s) => can(s.kind)));
    if (code !== 'hand-speed') out.push(...drops(scene, plucks));
    out.push(...easierLine(scene, plucks));
    // Notes one by one where the whole run is more than is needed.
    if (code !== 'hand-speed') out.push(...respellings(scene, plucks, 'respell'));
    return out;
  }
  // A chord of one hand is mended with all that this hand strikes.
  const chord = code === 'span' || code === 'four-fingers' || code === 'reach';
  const own = chord ? [...new Set(plucks.flatMap((p) => handOf(scene, p)))] : plucks;
  if (can('respell')) out.push(...respellings(scene, own, 'respell'), ...sharedRespellings(scene, own));
  if (can('homophone')) out.push(...respellings(scene, own, 'homophone'), ...alternated(scene, own));
  if (can('drop')) out.push(...drops(scene, own), ...drops(scene, beside(scene, own)));
  if (can('hand')) out.push(...otherHands(scene, own));
  if (chord) out.push(...shares(scene, own).filter((s) => can(s.kind)));
  if (can('octave')) out.push(...octaves(scene, own, code === 'range' || code === 'discless' ? 4 : 1));
  if (can('roll')) out.push(...rolls(scene, own));
  if (can('split')) out.push(...splits(scene, own));
  if (can('thin')) out.push(...thinnings(scene, own));
  if (can('second-harp')) out.push(...secondHarp(scene, own));
  if (can('ossia')) out.push(...easierLine(scene, own));
  return out;
}

/** The doublings of what is concerned, in the same hand. */
const beside = (scene: Scene, plucks: readonly Pluck[]): Pluck[] => {
  const own = new Set(plucks.map((p) => p.id));
  return [...new Set(plucks.flatMap((p) => chordOf(scene, p)))].filter(
    (p) => !own.has(p.id) && plucks.some((q) => q.hand === p.hand && q.onset === p.onset),
  );
};
