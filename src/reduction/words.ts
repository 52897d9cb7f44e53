/** One sentence for each rule that rewrites. */

type Detail = Readonly<Record<string, string | number>>;

export const SENTENCES: Readonly<Record<string, (d: Detail) => string>> = {
  compass: () => 'Played in the nearest octave that the harp has.',
  tremolo: () => 'A tremolo: struck once and rolled, left to ring.',
  'written-tremolo': () => 'A tremolo written out: bisbigliando where it is soft, else rolled on each beat.',
  'repeated-chords': () => 'A chord repeated: struck once, then broken over what rings.',
  'low-octaves': () => 'A low octave repeated: whole at first and left to ring, then single.',
  'pedal-ring': () => 'The sustaining pedal holds the bass: left to ring.',
  graces: () => 'Small notes before a chord: rolled with it.',
  'two-inflections': ({ as }) =>
    as === 'dropped'
      ? 'Two inflections of one letter that have one string each: the left hand’s is left out.'
      : 'Two inflections of one letter: one is spelt with its other string.',
  'low-close': () => 'A close chord below C3 opened: what blurs lies an octave higher.',
  'low-gap': () => 'Re-voiced, so that the largest gap lies under the thumb.',
  'low-repeats': () => 'A low note repeated: struck once and left to ring.',
  'octaves-singled': () => 'Fast octaves singled.',
  'chromatic-run': ({ as }) =>
    as === 'glissando'
      ? 'A chromatic run that flies by: a glissando on the set scale.'
      : 'A fast chromatic run: the notes of the set scale.',
  trill: () => 'A trill: the hands in turn, a string each.',
  'repeated-notes': ({ as }) =>
    as === 'octave'
      ? 'A repeated note that has one string only: every second stroke an octave away.'
      : as === 'slower'
        ? 'A repeated note that has one string only: every second stroke left out.'
        : 'A repeated note: two strings set to it, in turn.',
  alberti: () => 'A turning bass spread into an arpeggio.',
  'hand-over': () => 'A run handed over from hand to hand.',
  leaps: () => 'A quick wide leap: the low note an octave nearer.',
  'two-voices': () => 'Inner voices left out: two voices, and what names the chord.',
  'thick-chords': ({ as }) =>
    as === 'shared'
      ? 'Over four notes in a hand: shared with the other.'
      : 'Over four notes in a hand: doublings left out.',
  'wide-chords': ({ as }) =>
    as === 'split' ? 'Wider than a tenth: split between the hands.' : 'Wider than a tenth: rolled.',
  'slow-chords': () => 'A full chord that stands: rolled.',
  'pedal-sparing': () => 'An inner note left out that alone asked for a pedal.',
  etouffes: () => 'A dry bass: étouffé, damped at once.',
  'pedal-damps': () => 'The sustaining pedal is changed: low strings are damped.',
};
