/**
 * The rules of the piano-to-harp table, in the order in which the search tries them. Keys of many sharps are written
 * in flats for the whole part (proposals/reduce-keys.ts). Hands shared, wide chords rolled and doublings dropped are
 * also choices of the search itself, where no rule foresaw the case.
 */

import type { Rule } from '../types';
import { rule as alberti } from './alberti';
import { rule as chromaticRun } from './chromatic-run';
import { rule as compass } from './compass';
import { rule as etouffes } from './etouffes';
import { rule as graces } from './graces';
import { rule as handOver } from './hand-over';
import { rule as leaps } from './leaps';
import { rule as lowClose } from './low-close';
import { rule as lowGap } from './low-gap';
import { rule as lowOctaves } from './low-octaves';
import { rule as lowRepeats } from './low-repeats';
import { rule as octavesSingled } from './octaves-singled';
import { rule as pedalDamps } from './pedal-damps';
import { rule as pedalRing } from './pedal-ring';
import { rule as pedalSparing } from './pedal-sparing';
import { rule as repeatedChords } from './repeated-chords';
import { rule as repeatedNotes } from './repeated-notes';
import { rule as slowChords } from './slow-chords';
import { rule as thickChords } from './thick-chords';
import { rule as tremolo } from './tremolo';
import { rule as trill } from './trill';
import { rule as twoInflections } from './two-inflections';
import { rule as twoVoices } from './two-voices';
import { rule as wideChords } from './wide-chords';
import { rule as writtenTremolo } from './written-tremolo';

export const RULES: readonly Rule[] = [
  compass,
  tremolo,
  writtenTremolo,
  repeatedChords,
  twoInflections,
  lowClose,
  lowGap,
  lowRepeats,
  lowOctaves,
  octavesSingled,
  chromaticRun,
  trill,
  repeatedNotes,
  alberti,
  handOver,
  graces,
  leaps,
  slowChords,
  thickChords,
  wideChords,
  twoVoices,
  pedalSparing,
  etouffes,
  pedalRing,
  pedalDamps,
];
