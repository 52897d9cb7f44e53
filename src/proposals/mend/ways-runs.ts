/** Repairs of whole runs: a hand that is too fast, a stretch without time for the feet. */

import { ticks } from '../../base/units';
import { barAt } from '../../music/metre';
import type { Pluck } from '../../music/passage';
import type { Problem } from '../../base/problem';
import { idsOf, onsetOf } from './faults';
import { type Scene, isDoubling, otherHand, step, weightOf } from './scene';
import { handChordsOf } from './ways-notes';
import type { Edit, Step } from './types';

/** Thousandths of the tempo that are tried where the problem does not say how much is wanted. */
const SLOWER = [900, 800, 700, 600, 500, 400, 300, 200] as const;
/** Points for each hundredth of the tempo that is lost. */
const PER_HUNDREDTH = 1;

/** How much slower the problem itself says it must be, in thousandths; null where it does not. */
function neededShare(p: Problem): number | null {
  if (typeof p.value !== 'number' || typeof p.limit !== 'number' || p.value <= 0 || p.limit <= 0) return null;
  if (p.unit === 's') return p.value < p.limit ? Math.floor((1000 * p.value) / p.limit) : null;
  if (p.unit?.endsWith('/s') === true) {
    return p.value > p.limit ? Math.floor((1000 * p.limit) / p.value) : null;
  }
  return null;
}

/** The bars of the problem played slower. */
export function slower(scene: Scene, problem: Problem, plucks: readonly Pluck[]): Step[] {
  const { bars } = scene.passage;
  if (bars.length === 0) return [];
  const onsets = [onsetOf(problem), ...plucks.map((p) => p.onset)];
  const first = barAt(bars, ticks(Math.min(...onsets)));
  const last = barAt(bars, ticks(Math.max(...onsets)));
  const share = neededShare(problem);
  // Times are rounded: a little more than what is wanted.
  const shares = share === null ? SLOWER : [share - 5, share - 60].filter((s) => s >= 100);
  return shares.map((permille) => {
    const edit: Edit = { kind: 'tempo', from: first.start, to: ticks(last.start + last.length), permille };
    return step(scene, 'slow', [edit], PER_HUNDREDTH * Math.ceil((1000 - permille) / 10));
  });
}

const leave = (p: Pluck): Edit => ({ kind: 'leave-out', id: p.id });

/** One change for a whole run of one hand: shared with the other hand, without doublings, thinner. */
export function runWays(scene: Scene, problem: Problem): Step[] {
  const plucks = idsOf(problem).flatMap((id) => scene.byId.get(id) ?? []);
  const chords = handChordsOf(scene, plucks);
  const out: Step[] = [];
  const offer = (kind: Step['kind'], edits: readonly Edit[]): void => {
    if (edits.length > 0) out.push(step(scene, kind, edits));
  };
  offer('drop', plucks.filter((p) => isDoubling(scene, p)).map(leave));
  if (scene.handsGiven) {
    const give = (some: readonly Pluck[]): Edit[] =>
      some.map((p) => ({ kind: 'hand', id: p.id, to: otherHand(p.hand) }));
    for (const phase of [1, 0]) offer('hand', give(chords.filter((_, i) => i % 2 === phase).flat()));
    // Groups of four, as hands take turns in an arpeggio (common practice).
    for (const phase of [1, 0]) offer('hand', give(chords.filter((_, i) => (i >> 2) % 2 === phase).flat()));
    // The half of every chord that lies nearer to the other hand.
    offer(
      'hand',
      give(
        chords.flatMap((chord) => {
          const half = chord.length >> 1;
          return chord[0]?.hand === 'R' ? chord.slice(0, half) : chord.slice(chord.length - half);
        }),
      ),
    );
  }
  for (const most of [3, 2, 1]) {
    const rest = chords.flatMap((chord) => {
      const byWeight = [...chord].sort((a, b) => weightOf(scene, b.id) - weightOf(scene, a.id));
      return byWeight.slice(most);
    });
    offer('thin', rest.map(leave));
  }
  // Of four notes the first and third, then the first alone.
  offer(
    'thin',
    chords
      .filter((_, i) => i % 2 === 1)
      .flat()
      .map(leave),
  );
  offer(
    'thin',
    chords
      .filter((_, i) => i % 4 !== 0)
      .flat()
      .map(leave),
  );
  offer(
    'second-harp',
    chords
      .filter((_, i) => i % 2 === 1)
      .flat()
      .map(leave),
  );
  return out;
}
