/** The plain baseline of QUALITY.md: delete until playable. Nothing is moved, re-voiced, rolled or shared. */

import { LANDMARKS } from '../../src/harp/registers';
import { SPANS } from '../../src/harp/hands';
import { CONCERT_HARP } from '../../src/harp/instrument';
import type { PlannedPassage } from '../../src/harp/planned';
import { stringOf } from '../../src/harp/strings';
import type { Passage, Pluck } from '../../src/music/passage';
import { assignHands } from '../../src/playability/hands';
import { clockOf } from '../../src/proposals/reduce-clock';
import { livingRolls, mendByDropping, ownPlan } from '../../src/proposals/reduce-finish';

import { type Struck, possible } from '../../src/proposals/reduce-shapes';
import { tuningFor } from '../../src/proposals/reduce-ways';
import { FREE_PEDALS, pedalBar, pedalHistory } from '../../src/proposals/reduce-pedals';

export function deleteUntilPlayable(piano: Passage): PlannedPassage {
  const passage = assignHands(piano);
  const clock = clockOf(passage);
  const past: Record<'R' | 'L', Struck[]> = { R: [], L: [] };
  const touched = new Map<number, number>();
  const rolled = new Set(passage.rolls.flatMap((r) => (r.direction === 'none' ? [] : r.plucks)));
  const kept: Pluck[] = [];
  const onsets = [...new Set(passage.plucks.map((p) => p.onset))].sort((a, b) => a - b);
  const groups = new Map(onsets.map((o) => [o, [] as Pluck[]]));
  for (const p of passage.plucks) groups.get(p.onset)?.push(p);
  for (const onset of onsets) {
    const at = clock.microsAt(onset);
    for (const hand of ['L', 'R'] as const) {
      let notes = (groups.get(onset) ?? [])
        .filter(
          (p) => p.hand === hand && (hand === 'L' || stringOf(p.pitch) >= LANDMARKS.rightHandHardLow.string),
        )
        .filter((p) => at - (touched.get(stringOf(p.pitch)) ?? -Infinity) + 1 >= 90_000)
        .sort((a, b) => stringOf(a.pitch) - stringOf(b.pitch));
      notes = notes.filter(
        (p, i) => i === 0 || stringOf(p.pitch) !== stringOf((notes[i - 1] as Pluck).pitch),
      );
      const drop = (): void => {
        // The right hand keeps its top, the left its bottom; inner notes go first.
        if (hand === 'R') notes = notes.slice(1);
        else notes = notes.slice(0, -1);
      };
      while (notes.length > 4 || (notes.length > 0 && !possible(past[hand], notes.length, at))) drop();
      const span = (): number =>
        notes.length < 2 ? 0 : stringOf((notes.at(-1) as Pluck).pitch) - stringOf((notes[0] as Pluck).pitch);
      while (span() > SPANS.limit.strings && !notes.every((p) => rolled.has(p.id))) drop();
      if (notes.length === 0) continue;
      for (const p of notes) touched.set(stringOf(p.pitch), at);
      past[hand].push({ at, count: notes.length, low: 0, high: 0, group: [] });
      kept.push(...notes);
    }
  }
  const byOnset = new Map<number, Pluck[]>();
  for (const p of kept) byOnset.set(p.onset, [...(byOnset.get(p.onset) ?? []), p]);
  const stops = onsets.map((onset) => ({
    onset,
    notes: [...(byOnset.get(onset) ?? [])].map((p) => ({
      id: p.id,
      pitch: p.pitch,
      fixed: false,
      worth: 1000,
      until: onset as number,
    })),
  }));
  const tuning = tuningFor(passage, CONCERT_HARP);
  const courses = pedalBar(
    [FREE_PEDALS],
    stops.filter((s) => s.notes.length > 0),
    clock,
    CONCERT_HARP,
    tuning,
    1,
  );
  const pedals = pedalHistory(courses.reduce((a, b) => (b.cost < a.cost ? b : a)));
  const gone = new Set(pedals.dropped);
  const plucks = kept.filter((p) => !gone.has(p.id)).sort((a, b) => a.onset - b.onset);
  const rolls = livingRolls(passage.rolls, new Set(plucks.map((p) => p.id)));
  const plan = ownPlan({ ...passage, plucks, rolls, trembles: [] }, pedals, CONCERT_HARP, tuning);
  return mendByDropping(plan, () => 1).planned;
}
