/** Repairs of pedal marks: another moment, a mark that is missing, or the stretch planned anew between its neighbours. */

import { type Ticks, ticks } from '../../base/units';
import type { Problem } from '../../base/problem';
import type { Instrument } from '../../harp/instrument';
import { type PlannedPassage, settingAt } from '../../harp/planned';
import { PEDALS, type Position, type Setting, positionOf } from '../../harp/setting';
import { stringOf } from '../../harp/strings';
import { barAt, beatTicks } from '../../music/metre';
import type { Passage } from '../../music/passage';
import { LETTERS, type Letter, type Pitch } from '../../music/pitch';
import { planPassage } from '../../pedals/plan';
import type { PartToCheck } from '../check';
import { type PedalMarks, planFromMarks } from '../marks';
import { asPrinted, cut, idsOf, onsetOf, planOptions } from './faults';
import type { Scene } from './scene';
import { otherSpellings } from './ways-notes';
import type { Edit, Step } from './types';
import { KIND_LOSS, lossOf } from './weights';

/** Points for each pedal mark that is changed. */
const PER_MARK = 1;
/** Beats before its need at which a move is tried. */
const BEATS = 4;

interface Want {
  readonly onset: Ticks;
  readonly alter: Position;
}

/** What the strings of a letter are asked, in order of time; strings that no pedal reaches are no part of it. */
function wantsOf(scene: Scene, letter: Letter): Want[] {
  const notes = [
    ...scene.around,
    ...scene.passage.plucks,
    ...scene.passage.trembles.flatMap((t) => t.notes.map((n) => ({ ...n, onset: t.onset }))),
  ];
  return notes
    .filter((n) => n.pitch.letter === letter && !scene.instrument.discless.includes(stringOf(n.pitch)))
    .filter((n) => Math.abs(n.pitch.alter) <= 1)
    .map((n) => ({ onset: n.onset, alter: n.pitch.alter as Position }))
    .sort((a, b) => a.onset - b.onset);
}

/** Instants after `low` and up to `high`, the likeliest first: at the need, on the beats before it, half-way. */
function instants(passage: Passage, low: number, high: number): Ticks[] {
  const out = [high];
  if (passage.bars.length > 0) {
    const bar = barAt(passage.bars, ticks(high));
    const half = beatTicks(bar.metre) / 2;
    const last = bar.start + Math.ceil((high - bar.start) / half - 1) * half;
    for (let t = last, n = 0; t > low && n < 2 * BEATS; t -= half, n++) out.push(t);
  }
  if (low >= 0 && high - low > 2) out.push(low + ((high - low) >> 1));
  return [...new Set(out)].filter((t) => t > low && t <= high && t >= 0).map(ticks);
}

/** The position of a letter by the marks, moves of the instant included. */
function standing(marks: PedalMarks, letter: Letter, at: number): Position {
  let position = positionOf(marks.settings[0]?.setting ?? 0, letter);
  for (const m of marks.moves) if (m.letter === letter && m.onset <= at) position = m.to;
  return position;
}

const pedalStep = (edits: readonly Edit[], extra = 0): Step => ({
  kind: 'pedal',
  edits,
  loss: KIND_LOSS.pedal + PER_MARK * (edits.length - 1) + extra,
});

/** Ways to have a letter stand at a position at an onset, by its own marks alone. */
export function letterWays(scene: Scene, letter: Letter, alter: Position, onset: Ticks): Step[] {
  const { marks, passage } = scene;
  if (marks === null) return [];
  const wants = wantsOf(scene, letter);
  const before = wants.filter((w) => w.onset < onset).at(-1);
  const after = wants.find((w) => w.onset > onset);
  const own = marks.moves.filter((m) => m.letter === letter);
  const low = before?.onset ?? -1;
  const early = own.filter((m) => m.onset > low && m.onset <= onset);
  const late = own.find((m) => m.onset > onset && m.onset <= (after?.onset ?? Infinity));
  const away = early.map((m): Edit => ({ kind: 'move-out', onset: m.onset, letter }));
  /** What follows finds the letter as it is asked for then. */
  const back = (taken: number | null): Edit[] => {
    if (after === undefined) return [];
    const moves = own.filter((m) => m.onset > onset && m.onset <= after.onset && m.onset !== taken);
    const then = moves.at(-1)?.to ?? alter;
    const was = standing(marks, letter, after.onset);
    if (then === after.alter || was !== after.alter) return [];
    return [{ kind: 'move-in', onset: after.onset, letter, to: after.alter }];
  };
  const out: Step[] = [];
  const moveIn = (at: Ticks): Edit => ({ kind: 'move-in', onset: at, letter, to: alter });
  instants(passage, low, onset).forEach((at, i) => {
    if (late?.to === alter) {
      const gone: Edit = { kind: 'move-out', onset: late.onset, letter };
      out.push(pedalStep([...away, gone, moveIn(at), ...back(late.onset)], i));
    } else out.push(pedalStep([...away, moveIn(at), ...back(null)], i));
  });
  const first = marks.settings[0];
  if (before === undefined && first !== undefined) {
    out.push(pedalStep([...away, { kind: 'opening', letter, to: alter }, ...back(null)]));
  }
  return out;
}

/** Another moment for a move, between what needs the old position and what needs the new. */
function shifted(scene: Scene, letter: Letter, onset: Ticks): Step[] {
  const move = scene.marks?.moves.find((m) => m.letter === letter && m.onset === onset);
  if (scene.marks === null || move === undefined) return [];
  const wants = wantsOf(scene, letter);
  const low = wants.filter((w) => w.onset < onset).at(-1)?.onset ?? -1;
  const next = wants.find((w) => w.onset >= onset)?.onset;
  const high = next ?? onset + 8 * 3360;
  const gone: Edit = { kind: 'move-out', onset, letter };
  const ways = instants(scene.passage, low, high)
    .filter((at) => at !== onset)
    .map((at, i) => pedalStep([gone, { kind: 'move-in', onset: at, letter, to: move.to }], i));
  // A move that nothing needs can go.
  return next === undefined ? [pedalStep([gone]), ...ways] : ways;
}

/** The respelling of a note together with the marks that its new string asks for. */
export function respeltWithMarks(scene: Scene, id: string): Step[] {
  const pluck = scene.byId.get(id);
  if (scene.marks === null || pluck === undefined) return [];
  const weight = lossOf('respell', [0]);
  return otherSpellings(pluck.pitch).flatMap((to: Pitch) =>
    letterWays(scene, to.letter, to.alter as Position, pluck.onset)
      .slice(0, 4)
      .map((way): Step => ({
        kind: 'respell',
        edits: [{ kind: 'pitch', id, to }, ...way.edits],
        loss: weight + way.loss,
      })),
  );
}

/** Marks that turn one plan's moves within a stretch into another's. */
function changesOf(old: PlannedPassage['moves'], fresh: PlannedPassage['moves']): Edit[] {
  const name = (m: (typeof old)[number]): string => `${m.letter} ${m.onset} ${m.to}`;
  const [was, is] = [new Set(old.map(name)), new Set(fresh.map(name))];
  return [
    ...old
      .filter((m) => !is.has(name(m)))
      .map((m): Edit => ({ kind: 'move-out', onset: m.onset, letter: m.letter })),
    ...fresh
      .filter((m) => !was.has(name(m)))
      .map((m): Edit => ({ kind: 'move-in', onset: m.onset, letter: m.letter, to: m.to })),
  ];
}

const openingEdits = (old: Setting, fresh: Setting): Edit[] =>
  PEDALS.filter((letter) => positionOf(old, letter) !== positionOf(fresh, letter)).map((letter) => ({
    kind: 'opening',
    letter,
    to: positionOf(fresh, letter),
  }));

/**
 * The stretch planned anew: it begins and ends as the pedals stand around it, and every note keeps its spelling. Null
 * where there is no such plan. `passage` is the whole part, edited.
 */
export function replanned(
  part: PartToCheck,
  instrument: Instrument,
  from: number,
  to: number | null,
): Step | null {
  const plan = planFromMarks(part.passage, part.markings, instrument);
  if (plan === null) return null;
  const stretch = { from, to: to ?? Number.MAX_SAFE_INTEGER };
  const start = from <= 0 ? null : settingAt(plan, ticks(from - 1));
  const end = to === null ? null : settingAt(plan, ticks(to - 1));
  const printed = asPrinted(cut(part.passage, stretch));
  // The plan's clock begins with the part: a start that is given must not move before the stretch.
  const answer = planPassage(printed, { ...planOptions(instrument), start, end });
  if (answer.status === 'unplayable') return null;
  const inside = (m: { readonly onset: number }): boolean => m.onset >= stretch.from && m.onset < stretch.to;
  const fresh = answer.planned.moves.map((m) => (m.onset < from ? { ...m, onset: ticks(from) } : m));
  const edits = [
    ...(start === null ? openingEdits(plan.start, answer.planned.start) : []),
    ...changesOf(plan.moves.filter(inside), fresh),
  ];
  return edits.length === 0 ? null : pedalStep(edits, 8);
}

/** Repairs of the marks that a problem of the pedals asks for. */
export function pedalWays(scene: Scene, problem: Problem): Step[] {
  const out: Step[] = [];
  for (const id of idsOf(problem)) {
    const note =
      scene.byId.get(id) ??
      scene.passage.trembles
        .flatMap((t) => t.notes.map((n) => ({ ...n, onset: t.onset })))
        .find((n) => n.id === id);
    if (note !== undefined && Math.abs(note.pitch.alter) <= 1) {
      out.push(...letterWays(scene, note.pitch.letter, note.pitch.alter as Position, note.onset));
      out.push(...respeltWithMarks(scene, id));
      continue;
    }
    const [letter, at] = id.split('@');
    const moved = LETTERS.find((l) => l === letter);
    if (moved !== undefined && at !== undefined) out.push(...shifted(scene, moved, ticks(Number(at))));
    const sweep = scene.passage.sweeps.find((s) => s.id === id);
    if (sweep !== undefined) out.push(...sweepWays(scene, sweep.settings, onsetOf(problem)));
  }
  return out;
}

/** Marks at a sweep's onset that set one of its settings; at most four pedals away. */
function sweepWays(scene: Scene, settings: readonly Setting[], onset: number): Step[] {
  const { marks } = scene;
  if (marks === null) return [];
  return settings
    .slice(0, 12)
    .map((setting) =>
      PEDALS.filter((l) => standing(marks, l, onset) !== positionOf(setting, l)).map(
        (l) => [l, positionOf(setting, l)] as const,
      ),
    )
    .filter((wrong) => wrong.length > 0 && wrong.length <= 4)
    .sort((a, b) => a.length - b.length)
    .slice(0, 4)
    .map((wrong) =>
      pedalStep(wrong.map(([letter, to]): Edit => ({ kind: 'move-in', onset: ticks(onset), letter, to }))),
    );
}
