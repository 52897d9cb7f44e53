/** Full settings that a harpist looks for: before the first note of a part that marks its pedals, before a glissando. */

import type { Problem } from '../base/problem';
import { type Ticks, ticks } from '../base/units';
import { type PlannedPassage, settingAt } from '../harp/planned';
import { type Setting, positionOf, settingName } from '../harp/setting';
import { musicProblem } from '../playability/rule';
import { sweptLetters } from './check-needs';
import { type PedalMarks, firstOnset, openingDiagram } from './marks';

const SOURCE = 'Einarsdóttir, harp notation manual, Sibelius Academy';

/**
 * Warnings, code `pedal-mark`: `no-opening` where the marks are a plan (`from`) and no diagram stands at or before the first
 * note; `glissando` where the pedals of the strings swept are not those of the last diagram drawn. One for each
 * setting that is not shown, however many glissandi it serves.
 */
export function settingProblems(
  planned: PlannedPassage,
  marks: PedalMarks,
  from: 'marked' | 'as-printed',
): Problem[] {
  const { passage, instrument } = planned;
  const out: Problem[] = [];
  const say = (onset: Ticks, ids: readonly string[], setting: Setting, kind: string): void => {
    const found = { value: 'no full setting', limit: settingName(setting), source: SOURCE };
    out.push(musicProblem('pedal-mark', 'warning', onset, ids, found, { kind }));
  };
  const first = firstOnset(passage);
  if (from === 'marked' && first < Infinity && openingDiagram(passage, marks) === null)
    say(ticks(first), [], planned.start, 'no-opening');
  const drawn = [...marks.settings].sort((a, b) => a.onset - b.onset);
  let next = 0;
  let shown: Setting | null = null;
  for (const sweep of [...passage.sweeps].sort((a, b) => a.onset - b.onset)) {
    while ((drawn[next]?.onset ?? Infinity) <= sweep.onset) shown = drawn[next++]?.setting ?? shown;
    const standing = settingAt(planned, sweep.onset);
    const seen = shown;
    const isShown =
      seen !== null &&
      sweptLetters(sweep, instrument).every((l) => positionOf(seen, l) === positionOf(standing, l));
    if (isShown) continue;
    say(sweep.onset, [sweep.id], standing, 'glissando');
    shown = standing;
  }
  return out;
}
