// Options of the writer that between them ask for everything that can be asked.
import type { MusicXmlOptions } from '../../src/interchange/musicxml-write';

export const OPTIONS: readonly MusicXmlOptions[] = [
  {},
  { pedals: 'none', chords: false, fingering: false },
  { pedals: 'settings', courtesies: false },
  { pedals: 'diagrams', key: 'harp' },
  { pedals: 'two-lines', asWords: true },
  { pedals: 'words', pedalsBetween: true, ottava: false },
  { acrossBeams: true, handWords: true },
  { glissandoStart: true, acrossBeams: true },
  { pageBreaks: [1, 2], multiRests: true, pedals: 'two-lines' },
];
