/** What can be asked of the writer; every option left out keeps the file's contract. */

/**
 * How pedals are shown. `none`: nothing at all. `settings`: diagrams at the start, at rehearsal marks, after long
 * rests and before each glissando. `diagrams`: besides, one for each change. `words`, the usual: the diagrams of
 * `settings` and each change as a word under the staves. `two-lines`: the same changes, the right foot's in a line
 * over the left foot's, both lines straight.
 */
export type PedalMarking = 'none' | 'settings' | 'diagrams' | 'words' | 'two-lines';

export interface MusicXmlOptions {
  /** `words` unless told otherwise. */
  readonly pedals?: PedalMarking;
  /** Pedal words stand between the staves instead of under them. */
  readonly pedalsBetween?: boolean;
  /** Diagrams are written as words, the right foot's line over the left's: for programs that drop `harp-pedals`. */
  readonly asWords?: boolean;
  /** Fingerings over the notes; shown unless told otherwise. */
  readonly fingering?: boolean;
  /** Chord symbols; shown unless told otherwise. */
  readonly chords?: boolean;
  /** `harp` prints the signature that leaves the fewest accidentals in the harp's own spelling, for the whole part. */
  readonly key?: 'given' | 'harp';
  /** Courtesy accidentals, where another octave or a homophone could mislead; printed unless told otherwise. */
  readonly courtesies?: boolean;
  /** A glissando's strings up to the octave are written out as small notes before its line. */
  readonly glissandoStart?: boolean;
  /**
   * Figures that pass from hand to hand come under one beam over both staves. Such bars hold both hands in voice 1,
   * told apart by their staves and by m.d. and m.g.; the usual file keeps each hand in voices of its own.
   */
  readonly acrossBeams?: boolean;
  /** 'm.d.' and 'm.g.' where a hand plays on the other's staff. */
  readonly handWords?: boolean;
  /** '8va' where ledger lines pile up; printed unless told otherwise. */
  readonly ottava?: boolean;
  /** Bars, by index, that begin a page. The setting of what follows is shown before the turn. */
  readonly pageBreaks?: readonly number[];
  /** Gathers bars of rest in both hands into one sign with their number. */
  readonly multiRests?: boolean;
}
