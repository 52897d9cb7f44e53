/** Looks for the least change that leaves no error at a place: best-first over small steps, each state judged. */

import type { Problem } from '../../base/problem';
import type { Instrument } from '../../harp/instrument';
import type { PlannedPassage } from '../../harp/planned';
import type { Passage } from '../../music/passage';
import type { PartToCheck } from '../check';
import type { PedalMarks } from '../marks';
import { editMarks, editPart, editPassage, settled } from './edits';
import { type Stretch, cut, faultKey, handFaults, hasPlan, idsOf, markedFaults, pedalFaults } from './faults';
import { type Around, type Scene, sceneOf, weightOf } from './scene';
import type { Extend } from './twins';
import type { Edit, Step } from './types';
import { waysAgainst } from './ways';
import { replanned } from './ways-pedals';
import { KIND_LOSS, lossOf } from './weights';

/** What all searches in one part share. */
export interface Frame {
  readonly instrument: Instrument;
  readonly handsGiven: boolean;
  readonly weights: ReadonlyMap<string, number>;
  readonly extend: Extend;
  /** The part has pedal marks, which decide. */
  readonly marked: boolean;
  /** What strings without discs are tuned to. */
  readonly tuning: PlannedPassage['tuning'];
}

export interface Task {
  /** The whole part as it stands, its marks plain. */
  readonly part: PartToCheck;
  /** The errors to be rid of. */
  readonly problems: readonly Problem[];
  readonly stretch: Stretch;
  /** Without pedal marks: the stretch that must have a plan; null where it has none for other reasons. */
  readonly pedals: Stretch | null;
}

export interface Way {
  readonly steps: readonly Step[];
  readonly edits: readonly Edit[];
  readonly loss: number;
}

/** Points for each note that is changed for the sake of others. */
const BYSTANDER = 8;
/** States judged for one place. */
const MOST_STATES = 260;
/** Over a long stretch fewer, so that about as many notes are judged in all; but at least so many. */
const NOTES_JUDGED = 260_000;
const LEAST_STATES = 30;
/** Steps in one repair. */
const MOST_STEPS = 10;
/** Kinds that are offered even where they lose much more; ways of each that are tried. */
const LAST_RESORTS = ['second-harp', 'ossia'] as const;
const LAST_TRIES = 4;
/** States judged after the best is known, for the sake of others to offer. */
const FOR_OTHERS = 12;
/** Points without which no step mends an error of a code: what the search may count on ahead. */
function leastLoss(p: Problem): number {
  const over = Number(p.value) - Number(p.limit);
  if (p.code === 'four-fingers') return over * LEAST.drop;
  return DROPPED.has(p.code) ? LEAST.drop : LEAST.respell;
}
const LEAST = { respell: KIND_LOSS.respell, drop: KIND_LOSS.drop } as const;
const DROPPED: ReadonlySet<string> = new Set(['span', 'shared-string', 'repeat-rate', 'reach', 'hand-speed']);

interface Node extends Way {
  readonly key: string;
  readonly open: readonly Problem[];
  /** Steps that are still needed at least, in points. */
  readonly ahead: number;
  readonly done: boolean;
  readonly scene: Scene;
}

/** The neighbours of a stretch by letter: what pedals must serve just before and just after it. */
function aroundOf(passage: Passage, { from, to }: Stretch): Around[] {
  const before = new Map<string, Around>();
  const after = new Map<string, Around>();
  const notes: readonly Around[] = [
    ...passage.plucks,
    ...passage.trembles.flatMap((t) => t.notes.map((n) => ({ pitch: n.pitch, onset: t.onset }))),
  ];
  for (const { onset, pitch } of notes) {
    const { letter } = pitch;
    const [last, next] = [before.get(letter), after.get(letter)];
    if (onset < from && (last === undefined || last.onset <= onset)) before.set(letter, { onset, pitch });
    if (onset >= to && (next === undefined || next.onset > onset)) after.set(letter, { onset, pitch });
  }
  return [...before.values(), ...after.values()];
}

/** Judges edits at a place: what is still wrong there that was not wrong elsewhere before. */
export class Judge {
  private readonly base: Passage;
  private readonly tolerated: ReadonlySet<string>;
  private readonly around: readonly Around[];

  constructor(
    private readonly frame: Frame,
    private readonly task: Task,
  ) {
    this.base = cut(task.part.passage, task.stretch);
    this.around = frame.marked ? aroundOf(task.part.passage, task.stretch) : [];
    const wanted = new Set(task.problems.map(faultKey));
    const ids = new Set(task.problems.flatMap(idsOf));
    this.tolerated = new Set(
      this.faults(this.base, task.part.markings)
        .filter((p) => !wanted.has(faultKey(p)) && !idsOf(p).some((id) => ids.has(id)))
        .map(faultKey),
    );
  }

  private faults(passage: Passage, marks: PedalMarks): Problem[] {
    const { instrument, tuning, marked } = this.frame;
    return marked
      ? markedFaults({ markings: marks }, passage, this.task.stretch, instrument, tuning)
      : handFaults(passage, instrument, tuning);
  }

  scene(edits: readonly Edit[]): Scene {
    const { instrument, handsGiven, weights, marked } = this.frame;
    return sceneOf({
      passage: editPassage(this.base, edits),
      marks: marked ? editMarks(this.task.part.markings, edits) : null,
      instrument,
      handsGiven,
      weights,
      around: this.around,
    });
  }

  /** Errors left; where there are none but no pedal plan either, `planless`. */
  open(scene: Scene): { readonly open: Problem[]; readonly planless: boolean } {
    const found = this.faults(scene.passage, scene.marks ?? this.task.part.markings);
    const open = found.filter((p) => !this.tolerated.has(faultKey(p)));
    const { pedals } = this.task;
    const planless =
      open.length === 0 &&
      pedals !== null &&
      !this.frame.marked &&
      !hasPlan(cut(scene.passage, pedals), this.frame.instrument);
    return { open, planless };
  }

  /** The notes that no plan serves. */
  planFaults(scene: Scene): Problem[] {
    const { pedals } = this.task;
    return pedals === null ? [] : pedalFaults(cut(scene.passage, pedals), this.frame.instrument);
  }
}

const before = (a: Node, b: Node): number =>
  a.loss + a.ahead - b.loss - b.ahead || a.steps.length - b.steps.length;

const leaveOut = (id: string): Edit => ({ kind: 'leave-out', id });

/** The problem at hand is just as it was: the step was in vain. */
const stays = (node: Node, problem: Problem): boolean =>
  node.open.some(
    (p) => faultKey(p) === faultKey(problem) && p.value === problem.value && p.limit === problem.limit,
  );

/** Goals that do more than another does are none to offer. */
function leastOnly(goals: readonly Node[]): Node[] {
  const sets = goals.map((g) => new Set(g.edits.map((e) => JSON.stringify(e))));
  return goals.filter((_, i) => {
    const own = sets[i] as Set<string>;
    return !sets.some((other, k) => k !== i && other.size < own.size && [...other].every((e) => own.has(e)));
  });
}

/** Marks planned anew round a place, in growing stretches of bars. */
function replans(task: Task, frame: Frame, node: Node, problem: Problem): Step[] {
  if (!frame.marked) return [];
  if (problem.code !== 'wrong-pedal' && problem.code !== 'pedal-time') return [];
  const whole = editPart(task.part, node.edits);
  const { bars } = whole.passage;
  const onset = problem.where.kind === 'music' ? problem.where.onset : 0;
  const index = bars.findLastIndex((b) => b.start <= onset);
  return [1, 4].flatMap((n) => {
    const from = bars[Math.max(0, index - n)]?.start ?? 0;
    return replanned(whole, frame.instrument, from, bars[index + n + 1]?.start ?? null) ?? [];
  });
}

/** Ways to be rid of the task's errors, the least loss first; the first is what is applied. Empty: none was found. */
export function search(frame: Frame, task: Task): Way[] {
  const judged = new Judge(frame, task);
  const named = new Set(
    frame.extend(task.problems.flatMap(idsOf).map(leaveOut)).map((e) => ('id' in e ? e.id : '')),
  );
  const make = (steps: readonly Step[]): Node => {
    const { edits, key } = settled(steps.flatMap((s) => s.edits));
    const scene = judged.scene(edits);
    const { open, planless } = judged.open(scene);
    const ahead = Math.max(planless ? LEAST.respell : 0, ...open.map(leastLoss));
    const others = edits.filter((e) => 'id' in e && !named.has(e.id)).length;
    const loss = steps.reduce((sum, s) => sum + s.loss, 0) + BYSTANDER * others;
    return { steps, edits, key, loss, open, ahead, done: open.length === 0 && !planless, scene };
  };
  const root = make([]);
  if (root.done) return [];
  const queue: Node[] = [root];
  const seen = new Set([root.key]);
  const goals: Node[] = [];
  // Over a long stretch each state takes longer.
  const most = Math.max(
    LEAST_STATES,
    Math.min(MOST_STATES, Math.floor(NOTES_JUDGED / (1 + root.scene.byId.size))),
  );
  let [states, limit] = [0, most];
  while (queue.length > 0 && states < limit) {
    let best = 0;
    for (let i = 1; i < queue.length; i++) if (before(queue[i] as Node, queue[best] as Node) < 0) best = i;
    const node = queue.splice(best, 1)[0] as Node;
    if (node.done) {
      limit = Math.min(limit, states + FOR_OTHERS);
      if (goals.length > 4) break;
      continue;
    }
    if (node.steps.length >= MOST_STEPS) continue;
    const problem = node.open[0] ?? judged.planFaults(node.scene)[0];
    if (problem === undefined) continue;
    const steps = [...waysAgainst(node.scene, problem), ...replans(task, frame, node, problem)];
    steps.sort((a, b) => a.loss - b.loss);
    for (const way of steps) {
      const all = [...node.steps, { ...way, edits: frame.extend(way.edits) }];
      const { key } = settled(all.flatMap((s) => s.edits));
      if (seen.has(key)) continue;
      seen.add(key);
      states++;
      const child = make(all);
      if (stays(child, problem)) continue;
      queue.push(child);
      if (child.done) goals.push(child);
      if (states >= most) break;
    }
  }
  // Whoever asks for them finds a second harp and an easier line too, however much they lose.
  const first = root.open[0] ?? judged.planFaults(root.scene)[0];
  const least = leastOnly(goals).sort(before);
  const others: Node[] = [];
  for (const kind of LAST_RESORTS) {
    if (first === undefined || least.some((g) => g.steps.every((s) => s.kind === kind))) continue;
    const steps = waysAgainst(root.scene, first).filter((s) => s.kind === kind);
    steps.sort((a, b) => a.loss - b.loss);
    const found = steps
      .slice(0, LAST_TRIES)
      .map((way) => make([{ ...way, edits: frame.extend(way.edits) }]))
      .find((child) => child.done);
    if (found !== undefined) others.push(found);
  }
  return (least.length === 0 ? [] : [...least, ...others.sort(before)])
    .sort((a, b) => a.loss - b.loss)
    .map(({ steps, edits, loss }) => ({ steps, edits, loss }));
}

/** Where the search finds nothing: notes go one by one, the least missed first, until no error is left. */
export function force(frame: Frame, task: Task): Way | null {
  const judged = new Judge(frame, task);
  const steps: Step[] = [];
  for (let round = 0; round < 400; round++) {
    const { edits } = settled(steps.flatMap((s) => s.edits));
    const scene = judged.scene(edits);
    const { open, planless } = judged.open(scene);
    if (open.length === 0 && !planless) {
      return steps.length === 0 ? null : { steps, edits, loss: steps.reduce((sum, s) => sum + s.loss, 0) };
    }
    const problem = open[0] ?? judged.planFaults(scene)[0];
    if (problem === undefined) return null;
    const named = new Set(idsOf(problem));
    const here = [
      ...scene.passage.plucks,
      ...scene.passage.sweeps,
      ...scene.passage.trembles.flatMap((t) => t.notes),
    ].filter((x) => named.has(x.id));
    const least = here.sort((a, b) => weightOf(scene, a.id) - weightOf(scene, b.id))[0];
    if (least === undefined) return null;
    const edit: Edit = { kind: 'leave-out', id: least.id };
    steps.push({
      kind: 'thin',
      edits: frame.extend([edit]),
      loss: lossOf('thin', [weightOf(scene, least.id)]),
    });
  }
  return null;
}
