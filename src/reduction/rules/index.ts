/**
 * The rules of the piano-to-harp table that rewrite notes, in the order in which the search tries them. The table's
 * other rows are the search's own: notes shared between hands, wide chords rolled, doublings dropped, keys in flats.
 */

import type { Rule } from '../types';
import { rule as alberti } from './alberti';
import { rule as chromaticRun } from './chromatic-run';
import { rule as compass } from './compass';
import { rule as etouffes } from './etouffes';
import { rule as handOver } from './hand-over';
import { rule as leaps } from './leaps';
import { rule as lowClose } from './low-close';
import { rule as lowGap } from './low-gap';
import { rule as lowRepeats } from './low-repeats';
import { rule as octavesSingled } from './octaves-singled';
import { rule as pedalDamps } from './pedal-damps';
import { rule as repeatedNotes } from './repeated-notes';
import { rule as tremolo } from './tremolo';
import { rule as trill } from './trill';
import { rule as twoInflections } from './two-inflections';
import { rule as twoVoices } from './two-voices';

export const RULES: readonly Rule[] = [
  compass,
  tremolo,
  twoInflections,
  lowClose,
  lowGap,
  lowRepeats,
  octavesSingled,
  chromaticRun,
  trill,
  repeatedNotes,
  alberti,
  handOver,
  leaps,
  twoVoices,
  etouffes,
  pedalDamps,
];
