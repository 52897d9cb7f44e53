// Chords in quarters for tests of neighbours, and the neighbours of one kind.
import { ticks } from '../../src/base/units';
import { makeBars } from '../../src/music/metre';
import type { HarmonyMark, Passage } from '../../src/music/passage';
import { harpSpellings } from '../../src/music/pitch';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import type { PlanOptions } from '../../src/pedals/types';
import type { Change } from '../../src/proposals/changes';
import { neighbours } from '../../src/proposals/neighbours';

export const mark = (bar: number, text: string): HarmonyMark => ({
  onset: ticks(bar * 4 * 3360),
  text,
  root: null,
  bass: null,
  kind: 'none',
  degrees: [],
});
/** The neighbours of one kind, with a plan that must exist. */
export function ofKind(passage: Passage, options: PlanOptions, kind: Change['kind']) {
  return neighbours(passage, options, planPassage(passage, options), { most: 40 }).filter(
    (n) => n.change.kind === kind,
  );
}

export const fewest: PlanOptions = { ...defaultPlanOptions, aim: 'fewest' };

/** Chords in quarters, by MIDI keys, spelt with sharps first where not natural; null rests. */
export function chords(list: readonly (readonly number[] | null)[], milliBpm = 90_000): Passage {
  const plucks = list.flatMap((keys, i) =>
    (keys ?? []).map((midi, n) => {
      const pitch = harpSpellings(midi).find((p) => p.alter !== -1);
      if (pitch === undefined) throw new Error('no spelling');
      return {
        id: `n${i}.${n}`,
        onset: ticks(i * 3360),
        duration: ticks(3360),
        pitch,
        hand: null,
        finger: null,
        technique: 'ordinary' as const,
        dynamic: 'mf' as const,
      };
    }),
  );
  return {
    title: '',
    bars: makeBars({ beats: 4, unit: 4 }, Math.ceil(list.length / 4)),
    tempo: [{ onset: ticks(0), milliBpm }],
    fifths: 0,
    plucks,
    rolls: [{ id: 'r', plucks: plucks.slice(0, 3).map((p) => p.id), direction: 'up' }],
    sweeps: [],
    trembles: [],
    chords: [],
    damps: [],
  };
}
