/** Chord text to progression: bars, shares of the bar, repeats, and the place of every word that does not parse. */

import type { Problem, TextPlace } from '../base/problem';
import { type Ticks, ticks } from '../base/units';
import { type Metre, barTicks, beatsInBar } from '../music/metre';
import { isNoChord, readChord } from './chord';
import { estimateKey, type Key, parseKey } from './key';
import { nearestChord, nearestNumeral } from './nearest';
import { looksRoman, readRoman } from './roman';
import type { Chord, PlacedChord, Progression } from './types';
import { cutText, type Word, type WordBar } from './words';

export interface ProgressionOptions {
  readonly metre: Metre;
  /** 'Eb', 'c', 'F# minor', 'Bb major'; null guesses the key (Roman numerals then cannot be read). */
  readonly key: string | null;
}

/** What sounds, and its name: the name is kept for chords that are held or repeated. */
interface Sounding {
  readonly chord: Chord | null;
  readonly text: string;
}
const SILENCE: Sounding = { chord: null, text: 'N.C.' };

interface Reader {
  readonly key: Key | null;
  readonly problems: Problem[];
  /** Nearest symbols found so far: the same slip is often made twice. */
  readonly known: Map<string, string>;
}

/** For asking whether a word is a numeral at all. */
const ANY_KEY = estimateKey([]);

/** Beyond this many wrong words of one text the nearest symbol is no longer looked for. */
const MOST_LOOKUPS = 200;

const placeOf = (at: { start: number; end: number }): TextPlace => ({
  kind: 'text',
  start: at.start,
  end: at.end,
});

function report(
  reader: Reader,
  code: string,
  severity: Problem['severity'],
  at: { start: number; end: number },
  value: Problem['value'],
  limit: Problem['limit'],
  more: Pick<Problem, 'unit' | 'detail'> = {},
): void {
  const where = placeOf(at);
  reader.problems.push({ code, severity, where, value, limit, source: 'common practice', ...more });
}

/** The chord of a word; on a word that does not parse, a problem and the chord before it. */
function readWord(reader: Reader, word: Word, before: Sounding): Sounding {
  const { text } = word;
  if (isNoChord(text)) return { chord: null, text };
  const roman = looksRoman(text);
  if (roman && reader.key === null && readRoman(text, ANY_KEY) !== null) {
    report(reader, 'roman-needs-key', 'error', word, text, 'a key, such as C or a minor', {
      detail: { nearest: '' },
    });
    return before;
  }
  const chord = roman && reader.key !== null ? readRoman(text, reader.key) : readChord(text);
  if (chord !== null) return { chord, text };
  let nearest = reader.known.get(text);
  if (nearest === undefined) {
    const look = roman && reader.key !== null ? nearestNumeral : nearestChord;
    nearest = reader.known.size < MOST_LOOKUPS ? look(text) : '';
    reader.known.set(text, nearest);
  }
  report(reader, 'unknown-chord', 'error', word, text, nearest, { detail: { nearest } });
  return before;
}

/** Shares of a bar: `units` equal parts; rounded down to whole ticks where they do not divide. */
const shareAt = (bar: number, part: number, units: number): number => Math.floor((bar * part) / units);

interface Part extends Sounding {
  readonly from: number;
  readonly where: TextPlace;
}

/** The chords of one bar, each from a share of the bar on; the first always from 0. */
function readBar(
  reader: Reader,
  bar: WordBar,
  metre: Metre,
  before: Sounding,
): { parts: Part[]; units: number } {
  const { words } = bar;
  const units = words.length;
  const parts: Part[] = [];
  let now = before;
  words.forEach((word, i) => {
    if (word.text === '/') {
      if (i > 0) return;
      if (now === SILENCE) report(reader, 'nothing-to-hold', 'error', word, '/', 'a chord before it');
    } else if (word.text === '%' || word.text === '𝄎') {
      report(reader, 'repeat-not-alone', 'error', word, word.text, '/', { detail: { nearest: '/' } });
    } else now = readWord(reader, word, now);
    parts.push({ ...now, from: i, where: placeOf(word) });
  });

  const beats = beatsInBar(metre);
  const slashed = words.some((word) => word.text === '/');
  const at = { start: words[Math.min(beats, units - 1)]?.start ?? bar.start, end: bar.end };
  if (slashed && units > beats && units !== metre.beats) {
    // Each word is a felt beat; in compound metres as many words as written beats are clear as well.
    report(reader, 'bar-overfull', 'warning', at, units, beats, { unit: 'beats' });
  } else if (barTicks(metre) % units !== 0) {
    report(reader, 'bar-uneven', 'warning', bar, units, beats, { unit: 'chords' });
  }
  return { parts, units };
}

/**
 * Reads a chord progression. Always answers: what does not parse is a problem with its exact place, the word as
 * `value` and the nearest right one as `limit`, and holds the chord before it.
 *
 * - Bars are parted by `|`, double or at the ends of a line too, or by a line break.
 * - Several chords in a bar share it evenly. With beat slashes `/` each word is one felt beat (a dotted quarter in
 *   6/8); words that do not come to the bar's beats share it in proportion.
 * - `%` alone in a bar repeats the bar before, an empty bar holds the chord before (with a warning).
 * - `N.C.` is silence. Roman numerals need a key.
 *
 * Problem codes: `unknown-chord`, `roman-needs-key`, `key-unreadable`, `empty-progression`, `nothing-to-hold`,
 * `nothing-to-repeat`, `repeat-not-alone` (errors); `bar-overfull`, `bar-uneven`, `empty-bar`, `repeat-sign`
 * (warnings).
 */
export function parseProgression(text: string, options: ProgressionOptions): Progression {
  const { metre } = options;
  const asked = options.key === null || options.key.trim() === '' ? null : options.key;
  const key = asked === null ? null : parseKey(asked);
  const reader: Reader = { key, problems: [], known: new Map() };
  if (asked !== null && key === null) {
    // The key is not in the text: the place is its very start.
    const at = { start: 0, end: 0 };
    report(reader, 'key-unreadable', 'error', at, asked, 'a key such as Eb, c or F# minor');
  }
  const { bars, repeats } = cutText(text);
  for (const sign of repeats) report(reader, 'repeat-sign', 'warning', sign, sign.text, '|');
  if (bars.every((bar) => bar.words.length === 0)) {
    report(reader, 'empty-progression', 'error', { start: 0, end: text.length }, text.trim(), 'Cmaj7 | G7', {
      detail: { nearest: 'Cmaj7 | G7' },
    });
    return {
      source: text,
      metre,
      barCount: 0,
      chords: [],
      key: key ?? estimateKey([]),
      problems: reader.problems,
    };
  }

  const length = barTicks(metre);
  const chords: PlacedChord[] = [];
  let now = SILENCE;
  let previous: { parts: Part[]; units: number } | null = null;
  bars.forEach((bar, index) => {
    const [only] = bar.words;
    let here: { parts: Part[]; units: number };
    if (only === undefined) {
      report(reader, 'empty-bar', 'warning', bar, '', '%');
      here = { parts: [{ ...now, from: 0, where: placeOf(bar) }], units: 1 };
    } else if (bar.words.length === 1 && (only.text === '%' || only.text === '𝄎')) {
      const where = placeOf(only);
      if (previous === null) report(reader, 'nothing-to-repeat', 'error', only, only.text, 'a bar before it');
      here = {
        parts: previous?.parts.map((part) => ({ ...part, where })) ?? [{ ...now, from: 0, where }],
        units: previous?.units ?? 1,
      };
    } else here = readBar(reader, bar, metre, now);
    here.parts.forEach((part, i) => {
      const start = shareAt(length, part.from, here.units);
      const end = shareAt(length, here.parts[i + 1]?.from ?? here.units, here.units);
      // More chords than ticks: what has no length is not heard.
      if (end === start) return;
      chords.push({
        onset: ticks(index * length + start),
        duration: ticks(end - start) as Ticks,
        chord: part.chord,
        text: part.text,
        where: part.where,
      });
    });
    const final = here.parts.at(-1);
    if (final !== undefined) now = { chord: final.chord, text: final.text };
    previous = here;
  });
  const problems = [...reader.problems].sort((a, b) => startOf(a) - startOf(b));
  return { source: text, metre, barCount: bars.length, chords, key: key ?? estimateKey(chords), problems };
}

const startOf = (p: Problem): number => (p.where.kind === 'text' ? p.where.start : 0);
