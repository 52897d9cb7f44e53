/** Plays a found answer forward through the interpreter and compares every pluck with the bar. */

import { seededRandom } from '../../../src/base/random';
import { ticks } from '../../../src/base/units';
import { composePassage } from '../../../src/figures/compose';
import { checkHands } from '../../../src/figures/limits';
import { scaled } from '../../../src/figures/interpreter';
import type { Setup, Shape } from '../../../src/figures/phrase';
import { closingNotes, endingsFor, stretchNotes } from '../../../src/figures/play';
import { compassOf } from '../../../src/figures/register';
import { segmentsOf } from '../../../src/figures/segments';
import { voicingOf } from '../../../src/figures/voicing';
import { CONCERT_HARP } from '../../../src/harp/instrument';
import { stringOf } from '../../../src/harp/strings';
import { makeKey } from '../../../src/harmony/key';
import type { PlacedChord, Progression } from '../../../src/harmony/types';
import { type PublishedBar, type Struck, inOrder } from './bars';
import type { Way } from './library';
import type { Solution } from './solve';

/** A stretch of the bar with what is played on it; null solutions are N.C. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
  readonly solutions: readonly Solution[];
}

/** The tempo at which the hands are checked: a figure may be as slow as it likes. */
const SLOW = 40_000;

/** Adjacent stretches need chords of different names, or they would be one; one key for all. */
function pick(stretches: readonly Stretch[]): Solution[] | null {
  const walk = (i: number, before: Solution | null, key: Progression['key'] | null): Solution[] | null => {
    const s = stretches[i];
    if (s === undefined) return [];
    const joined = before !== null && stretches[i - 1]?.to === s.from;
    for (const option of s.solutions) {
      if (joined && option.offer.chord.text === before.offer.chord.text) continue;
      const own = option.offer.key ?? null;
      if (key !== null && own !== null && (own.fifths !== key.fifths || own.mode !== key.mode)) continue;
      const rest = walk(i + 1, option, key ?? own);
      if (rest !== null) return [option, ...rest];
    }
    return null;
  };
  return walk(0, null, null);
}

const text = (plucks: readonly Struck[]): string =>
  inOrder(plucks)
    .map((p) => `${p.onset} ${p.string} ${p.alter} ${p.hand}`)
    .join('\n');

/** Whether the way makes exactly the bar's plucks, with hands that can do it. */
export function verify(
  bar: PublishedBar,
  way: Way,
  stretches: readonly Stretch[],
  closing: boolean,
): boolean {
  const chosen = pick(stretches);
  if (chosen === null) return false;
  const chords: PlacedChord[] = [];
  const where = { kind: 'text', start: 0, end: 0 } as const;
  const rest = (from: number, to: number): void => {
    if (to > from)
      chords.push({ onset: ticks(from), duration: ticks(to - from), chord: null, text: 'N.C.', where });
  };
  stretches.forEach((s, i) => {
    rest(stretches[i - 1]?.to ?? 0, s.from);
    const { chord } = (chosen[i] as Solution).offer;
    chords.push({ onset: ticks(s.from), duration: ticks(s.to - s.from), chord, text: chord.text, where });
  });
  rest(stretches.at(-1)?.to ?? 0, bar.length);
  // A figure that goes on closes in a bar after this one.
  const last = chosen.at(-1) as Solution;
  if (!closing) {
    const { chord } = last.offer;
    chords.push({ onset: ticks(bar.length), duration: ticks(bar.length), chord, text: chord.text, where });
  }
  const key = chosen.find((c) => c.offer.key !== undefined)?.offer.key;
  const progression: Progression = {
    source: '',
    metre: bar.metre,
    barCount: closing ? 1 : 2,
    chords,
    key: key ?? makeKey({ letter: 'C', alter: 0 }, 'major'),
    problems: [],
  };
  const segments = scaled(segmentsOf(progression), way.variant, progression.key);
  if (segments.length !== stretches.length + (closing ? 0 : 1)) return false;
  const voicings = segments.map((_, i) => {
    const { left, right } = chosen[i] ?? last;
    return voicingOf(left, right);
  });
  const { variant, perBeat } = way;
  const setup: Setup = { variant, perBeat, voicings, segments, dynamic: 'mf', progression };
  const shape: Shape = way.shape ?? { phrase: [0, 0, 0, 0], answering: false, picks: [] };
  const open = stretches.slice(0, closing ? -1 : undefined).flatMap((_, i) => stretchNotes(setup, shape, i));
  const random = seededRandom(0);
  const brief = { progression, title: '', milliBpm: SLOW, instrument: CONCERT_HARP, random };
  const wanted = text(bar.plucks);
  const endings = closing ? endingsFor(setup, segments.at(-1) as (typeof segments)[0], false) : null;
  const closes =
    endings === null
      ? [[]]
      : [...endings.runs, ...endings.plain].map((cell) => closingNotes(setup, segments.length - 1, cell));
  return closes.some((close) => {
    const passage = composePassage(brief, { notes: [...open, ...close] });
    const made = passage.plucks.map((p) => ({
      onset: p.onset as number,
      string: stringOf(p.pitch),
      alter: p.pitch.alter as number,
      hand: p.hand ?? 'R',
    }));
    return text(made) === wanted && checkHands(passage, compassOf(CONCERT_HARP)).ok;
  });
}
