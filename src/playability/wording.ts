/** Words for numbers, intervals and details, shared by the sentences. */

import type { Problem, Quantity } from '../base/problem';

/** What a rule's problem says, without its place: lower-case start, full stop. */
export type Say = (p: Problem) => string;

const NUMBERS = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten'];
const INTERVALS = [
  'a unison',
  'a second',
  'a third',
  'a fourth',
  'a fifth',
  'a sixth',
  'a seventh',
  'an octave',
  'a ninth',
  'a tenth',
  'an eleventh',
  'a twelfth',
  'a thirteenth',
  'a fourteenth',
  'two octaves',
];

/** 'three'; figures above ten and for fractions. */
export const numberWord = (n: Quantity): string =>
  typeof n === 'number' ? (NUMBERS[n] ?? String(n)) : String(n);

/** A difference of strings as an interval: 9 is 'a tenth'. */
export const interval = (strings: Quantity): string =>
  typeof strings === 'number' ? (INTERVALS[strings] ?? `${strings + 1} strings`) : String(strings);

export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** '0.12 s', '1.3 s', '5 notes a second', or the text itself. */
export function quantity(q: Quantity, unit?: string): string {
  if (typeof q === 'string' || unit === undefined) return String(q);
  // Seconds and more are told to a tenth: nobody counts finer.
  const n = unit === 's' && q >= 1 ? Math.round(q * 10) / 10 : Math.round(q * 1000) / 1000;
  if (unit.endsWith('/s')) return `${n} ${unit.slice(0, -2)} a second`;
  return `${n} ${unit}`;
}

export const detail = (p: Problem, key: string): string => String(p.detail?.[key] ?? '');
export const handOf = (p: Problem): string => {
  const hand = detail(p, 'hand');
  return hand === '' ? 'one hand' : `the ${hand} hand`;
};

/** The variant of a sentence that the problem's `kind` names. */
export const byKind =
  (kinds: Readonly<Record<string, Say>>, otherwise: Say): Say =>
  (p) =>
    (kinds[detail(p, 'kind')] ?? otherwise)(p);
