/** What the page and the printed part show unless told otherwise; a file that is given away has the writer's defaults. */

import type { MusicXmlOptions } from '../interchange/musicxml-write';

/** Notes as a copyist sets them: beams over both staves, m.d. and m.g.; fingerings only on request. */
export const PAGE_MUSIC: MusicXmlOptions = { fingering: false, acrossBeams: true, handWords: true };

/** The same for paper: changes in two lines, bars of rest gathered, no chord symbols. */
export const PRINT_MUSIC: MusicXmlOptions = {
  ...PAGE_MUSIC,
  pedals: 'two-lines',
  chords: false,
  multiRests: true,
};
