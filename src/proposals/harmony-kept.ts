/** Which tones of the chords asked for a passage never sounds: what a composer would miss. */

import type { Progression } from '../harmony/types';
import { type PlannedPassage, settingAt } from '../harp/planned';
import { positionOf } from '../harp/setting';
import { stringLetter } from '../harp/strings';
import type { Sweep } from '../music/passage';
import { pitchClass } from '../music/pitch';

/** Pitch classes under a sweep: its letters as the pedals stand when it begins. */
function sweptClasses(planned: PlannedPassage, sweep: Sweep): number[] {
  const setting = settingAt(planned, sweep.onset);
  const low = Math.min(sweep.from, sweep.to);
  const count = Math.min(7, Math.abs(sweep.to - sweep.from) + 1);
  return Array.from({ length: count }, (_, i) => stringLetter(low + i)).map((letter) =>
    pitchClass(letter, positionOf(setting, letter)),
  );
}

/** A third, or the second or fourth that stands for it, weighs as much as three tensions: it names the chord. */
const THIRD = 3;
const isThird = (degree: number): boolean => degree === 2 || degree === 3 || degree === 4;

/**
 * Tones that name their chord (third, seventh, sixth, tensions, an altered fifth) and do not sound while it stands,
 * counted over all chords, a third threefold. Root and plain fifth are not missed: the ear supplies them (common
 * practice).
 */
export function missingTones(progression: Progression, planned: PlannedPassage): number {
  const { plucks, trembles, sweeps } = planned.passage;
  let missing = 0;
  for (const { chord, onset, duration } of progression.chords) {
    if (chord === null) continue;
    const within = (x: { readonly onset: number }): boolean => x.onset >= onset && x.onset < onset + duration;
    const notes = [...plucks.filter(within), ...trembles.filter(within).flatMap((t) => t.notes)];
    const heard = new Set(notes.map((n) => pitchClass(n.pitch.letter, n.pitch.alter)));
    for (const sweep of sweeps.filter(within)) for (const pc of sweptClasses(planned, sweep)) heard.add(pc);
    const root = pitchClass(chord.root.letter, chord.root.alter);
    const naming = chord.tones.filter(
      (t) => t.degree !== 1 && (t.degree !== 5 || (t.pc - root + 12) % 12 !== 7),
    );
    for (const tone of naming) if (!heard.has(tone.pc)) missing += isThird(tone.degree) ? THIRD : 1;
  }
  return missing;
}
