/** Every family, in the order of the list. */

import alternatingHands from '../../presets/figures/alternating-hands.json';
import bassAndChords from '../../presets/figures/bass-and-chords.json';
import bellOctaves from '../../presets/figures/bell-octaves.json';
import brokenOverBass from '../../presets/figures/broken-over-bass.json';
import climbingChords from '../../presets/figures/climbing-chords.json';
import crossRhythms from '../../presets/figures/cross-rhythms.json';
import etouffeBass from '../../presets/figures/etouffe-bass.json';
import fullChords from '../../presets/figures/full-chords.json';
import handToHand from '../../presets/figures/hand-to-hand.json';
import handToHandDown from '../../presets/figures/hand-to-hand-down.json';
import handsTogether from '../../presets/figures/hands-together.json';
import harmonicsAlone from '../../presets/figures/harmonics-alone.json';
import harmonicsOverBass from '../../presets/figures/harmonics-over-bass.json';
import interlockingHands from '../../presets/figures/interlocking-hands.json';
import octaveLine from '../../presets/figures/octave-line.json';
import offBeatChords from '../../presets/figures/off-beat-chords.json';
import oneHandArpeggio from '../../presets/figures/one-hand-arpeggio.json';
import oneHandChords from '../../presets/figures/one-hand-chords.json';
import openTenths from '../../presets/figures/open-tenths.json';
import rolledChords from '../../presets/figures/rolled-chords.json';
import scaleLinks from '../../presets/figures/scale-links.json';
import sparseTones from '../../presets/figures/sparse-tones.json';
import tableOstinato from '../../presets/figures/table-ostinato.json';
import thumbMelody from '../../presets/figures/thumb-melody.json';
import wave from '../../presets/figures/wave.json';
import zigzag from '../../presets/figures/zigzag.json';
import { BISBIGLIANDO } from './bisbigliando';
import { CONTRARY_GLISSANDO, GLISSANDO, PARALLEL_GLISSANDO } from './glissando';
import { HOMOPHONE_OSTINATO, HOMOPHONE_REPEATS } from './homophone-figures';
import { familyOf } from './interpreter';
import { type Figure, readFigure } from './language';
import type { FigureFamily } from './types';

/** The presets are ours: one that does not follow the language is a fault of the build and stops it in the tests. */
function preset(data: unknown): Figure {
  const figure = readFigure(data);
  if (!figure.ok) throw new Error(figure.problems.map((p) => `${p.value}: ${p.limit}`).join('; '));
  return figure.value;
}

/** The figures that are data, in the order of the list. */
export const FIGURES: readonly Figure[] = [
  preset(rolledChords),
  preset(fullChords),
  preset(oneHandChords),
  preset(climbingChords),
  preset(brokenOverBass),
  preset(oneHandArpeggio),
  preset(zigzag),
  preset(handToHand),
  preset(handToHandDown),
  preset(wave),
  preset(alternatingHands),
  preset(interlockingHands),
  preset(handsTogether),
  preset(octaveLine),
  preset(scaleLinks),
  preset(bassAndChords),
  preset(offBeatChords),
  preset(openTenths),
  preset(crossRhythms),
  preset(thumbMelody),
  preset(harmonicsOverBass),
  preset(harmonicsAlone),
  preset(tableOstinato),
  preset(etouffeBass),
  preset(bellOctaves),
  preset(sparseTones),
];

export const FAMILIES: readonly FigureFamily[] = [
  ...FIGURES.map(familyOf),
  GLISSANDO,
  CONTRARY_GLISSANDO,
  PARALLEL_GLISSANDO,
  BISBIGLIANDO,
  HOMOPHONE_REPEATS,
  HOMOPHONE_OSTINATO,
];
