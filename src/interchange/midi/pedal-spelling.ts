/** MIDI has no spelling: where a file marks its pedals, a note is spelt as the string that they set to its key. */

import { PEDALS, type Position, type Setting, positionOf, withPosition } from '../../harp/setting';
import type { Pluck } from '../../music/passage';
import { type Pitch, harpSpellings, midiOf } from '../../music/pitch';
import type { WrittenPedals } from '../musicxml-read';

/** The pedals before an instant's own marks, and after them. */
interface Standing {
  readonly before: Setting;
  readonly after: Setting;
}

/** Spelling that the pedals give: the note's own where they do, else the first string set to its key; null for none. */
function given(own: Pitch, { before, after }: Standing): Pitch | null {
  const sounds = (p: Pitch, setting: Setting): boolean => positionOf(setting, p.letter) === p.alter;
  if (sounds(own, after) || sounds(own, before)) return own;
  const all = harpSpellings(midiOf(own));
  return all.find((p) => sounds(p, after)) ?? all.find((p) => sounds(p, before)) ?? null;
}

/**
 * Plucks (by onset) spelt by the pedal marks, from the first diagram on; those that no pedal gives stay as they are,
 * and so does everything in a file without a diagram.
 */
export function spelledByPedals(plucks: readonly Pluck[], pedals: WrittenPedals): Pluck[] {
  const marks = [
    ...pedals.settings.map(({ onset, setting }) => ({ onset, setting, move: null })),
    ...pedals.moves.map((move) => ({ onset: move.onset, setting: null, move })),
  ].sort((a, b) => a.onset - b.onset);
  let next = 0;
  let now: Setting | null = null;
  let standing: Standing | null = null;
  let at = -1;
  return plucks.map((pluck) => {
    if (pluck.onset !== at) {
      at = pluck.onset;
      let before: Setting | null = now;
      for (let mark = marks[next]; mark !== undefined && mark.onset <= at; mark = marks[++next]) {
        if (mark.setting !== null) now = mark.setting;
        else if (now !== null && PEDALS.includes(mark.move.letter))
          now = withPosition(now, mark.move.letter, mark.move.to as Position);
        if (mark.onset < at) before = now;
      }
      standing = now === null ? null : { before: before ?? now, after: now };
    }
    const pitch = standing === null ? null : given(pluck.pitch, standing);
    return pitch === null || pitch === pluck.pitch ? pluck : { ...pluck, pitch };
  });
}
