/** Problems as plain sentences for people who write for the harp and do not play it. */

import type { Place, Problem } from '../base/problem';
import type { Bar } from '../music/metre';
import { barWords, placeName } from './places';
import { HAND_SENTENCES } from './sentences-hand';
import { HARP_SENTENCES } from './sentences-harp';
import { LEVER_SENTENCES } from './sentences-lever';
import { PART_SENTENCES } from './sentences-part';
import { TEXT_SENTENCES } from './sentences-text';
import { type Say, capital, quantity } from './wording';

const SENTENCES: Readonly<Record<string, Say>> = {
  ...TEXT_SENTENCES,
  ...HARP_SENTENCES,
  ...HAND_SENTENCES,
  ...PART_SENTENCES,
  ...LEVER_SENTENCES,
};

/** Codes of what is said of the whole part: no bar is named. */
export const WHOLE_PART: ReadonlySet<string> = new Set(['part-not-harp', 'part-unsuited', 'part-partly']);

/** 'Bar 3, beat 2: ', or nothing where the place is not in music. */
function placeText(where: Place, bars: readonly Bar[]): string {
  if (where.kind === 'music') {
    if (bars.length === 0) return '';
    return `${capital(placeName(bars, where.onset))}: `;
  }
  if (where.kind === 'text') return '';
  if (where.bar !== undefined) return `${capital(barWords(where.bar))}: `;
  return where.line === undefined ? '' : `Line ${where.line}: `;
}

/** For codes without a sentence of their own. */
function generic(p: Problem): string {
  const name = p.code.replaceAll('-', ' ');
  const found = quantity(p.value, p.unit);
  const limit = quantity(p.limit, p.unit);
  if (found === '') return limit === '' ? `${name}.` : `${name}: expected ${limit}.`;
  if (limit === '') return `${name}: ${found}.`;
  if (typeof p.value === 'number' && typeof p.limit === 'number')
    return `${name}: found ${found}; the limit is ${limit}.`;
  return `${name}: found ${found}; expected ${limit}.`;
}

/** One clear sentence with its place first, where there is one. `bars` are those of the passage; empty leaves the place out. */
export function sentence(problem: Problem, bars: readonly Bar[]): string {
  const say = SENTENCES[problem.code] ?? generic;
  const place = WHOLE_PART.has(problem.code) ? '' : placeText(problem.where, bars);
  const text = say(problem);
  return place === '' ? capital(text) : place + text;
}
