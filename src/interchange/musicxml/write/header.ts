/** What stands before the first bar: title, software, the part and its sound. */

import type { Element } from 'xast';
import { el, text } from './xml';

export const PART_ID = 'P1';

/** Elements of the head; no date, so that the same music gives the same bytes. */
export function header(title: string, composer: string | undefined): Element[] {
  const supports = ['accidental', 'beam', 'stem'].map((element) =>
    el('supports', { element, type: element === 'stem' ? 'no' : 'yes' }),
  );
  const instrument = `${PART_ID}-I1`;
  return [
    ...(title === '' ? [] : [el('work', {}, text('work-title', title))]),
    el(
      'identification',
      {},
      composer === undefined || composer === '' ? null : text('creator', composer, { type: 'composer' }),
      el('encoding', {}, text('software', 'Harpwright'), ...supports),
    ),
    el(
      'part-list',
      {},
      el(
        'score-part',
        { id: PART_ID },
        text('part-name', 'Harp'),
        text('part-abbreviation', 'Hp.'),
        el(
          'score-instrument',
          { id: instrument },
          text('instrument-name', 'Harp'),
          text('instrument-sound', 'pluck.harp'),
        ),
        // MusicXML counts programs from 1; General MIDI's harp is program byte 46.
        el('midi-instrument', { id: instrument }, text('midi-channel', 1), text('midi-program', 47)),
      ),
    ),
  ];
}
