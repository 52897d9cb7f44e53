/** Sentences of the rules of strings and pedals, and of problems that other stages find. */

import type { Problem } from '../base/problem';
import { type Letter, spellingName } from '../music/pitch';
import { MARK_KINDS } from './sentences-part';
import { type Say, byKind, detail, numberWord, quantity } from './wording';

/** 'E♭ and E'; where only letter and alterations are given, from those. */
function inflections(p: Problem): string {
  const alters = detail(p, 'alters');
  const letter = detail(p, 'letter');
  if (typeof p.value === 'string' || letter === '') return String(p.value);
  if (alters === '') return `two inflections of ${letter}`;
  return alters
    .split(' ')
    .map((alter) => spellingName(letter as Letter, Number(alter)))
    .join(' and ');
}

const known = (p: { readonly value: unknown }): boolean => String(p.value) !== '';

export const HARP_SENTENCES: Readonly<Record<string, Say>> = {
  range: (p) =>
    String(p.limit).includes('–')
      ? `${p.value} is not on this harp, whose strings go from ${String(p.limit).replace('–', ' to ')}.`
      : `${p.value} is not on this harp.`,

  clash: byKind(
    {
      string: (p) => {
        const string = detail(p, 'string');
        if (p.severity === 'warning' && detail(p, 'hands') === '2')
          return `${string} is written for both hands at once; one of them plucks it, the other leaves it out.`;
        if (p.severity === 'warning')
          return `${string} is written ${numberWord(p.value)} times at once; it is plucked once.`;
        return detail(p, 'hands') === '2'
          ? `both hands want the ${string} string at once; leave it to one of them.`
          : `the ${string} string is wanted ${numberWord(p.value)} times at once; a string is plucked once.`;
      },
    },
    (p) =>
      `${inflections(p)} are wanted at once; one pedal sets all strings of a letter, so only one can sound: respell one of them.`,
  ),

  'wrong-pedal': byKind(
    {
      ...MARK_KINDS,
      discless: (p) =>
        `${p.value} cannot be set: this string has no disc and is tuned to ${p.limit} for the whole part.`,
      sweep: (p) => `the glissando needs ${p.limit}, but the pedals give ${p.value}.`,
      tremble: (p) => `a pedal moves to ${p.limit} while ${p.value} still goes on.`,
    },
    (p) => `${p.value} is written, but the pedal stands at ${p.limit}.`,
  ),

  'pedal-time': byKind(
    {
      together: (p) =>
        `the ${detail(p, 'foot')} foot would move two pedals at once (${detail(p, 'first')} and ${detail(p, 'second')}).`,
      side: (p) =>
        p.severity === 'error'
          ? `${detail(p, 'second')} belongs to the ${p.limit}; the ${p.value} cannot reach it.`
          : `${detail(p, 'second')} belongs to the ${p.limit}; taking it with the ${p.value} is for emergencies.`,
      settle: (p) =>
        `only ${quantity(p.value, 's')} lie between ${detail(p, 'first')} and ${detail(p, 'second')}; ` +
        `the pedal needs ${quantity(p.limit, 's')} to stand.`,
      unsettled: (p) =>
        `not every pedal can stand ${quantity(p.limit, 's')} before its note: ${String(p.value)}.`,
    },
    (p) =>
      typeof p.value === 'string'
        ? `the feet have no time to set all of these: ${p.value}; one foot needs ${quantity(p.limit, 's')} from pedal to pedal.`
        : `the ${detail(p, 'foot')} foot has ${quantity(p.value, 's')} from ${detail(p, 'first')} to ${detail(p, 'second')}; ` +
          (p.severity === 'error'
            ? `less than ${quantity(p.limit, 's')} cannot be done.`
            : `${quantity(p.limit, 's')} is comfortable.`),
  ),

  'pedal-haste': (p) => {
    const foot = detail(p, 'foot') === '' ? 'the foot' : `the ${detail(p, 'foot')} foot`;
    const from =
      detail(p, 'last') === ''
        ? ''
        : ` from the ${detail(p, 'last')} pedal to the ${detail(p, 'letter')} pedal`;
    return typeof p.value === 'number'
      ? `${foot} has ${quantity(p.value, p.unit ?? 's')}${from}; ${quantity(p.limit, p.unit ?? 's')} is comfortable.`
      : `this pedal move is hasty (${p.value}); ${p.limit}.`;
  },

  discless: (p) =>
    `${p.value} cannot all be had: strings without discs are tuned before playing and keep ${p.limit}.`,

  unplayable: (p) =>
    known(p) && typeof p.value === 'string'
      ? `no pedal plan plays all of these together: ${p.value}.`
      : 'no pedal plan plays all of these notes together; leave one out, respell it, or give the feet more time.',

  respelt: (p) =>
    `${p.value} ${Number(detail(p, 'notes')) > 1 ? 'are' : 'is'} played as ${p.limit}: the same pitch on another string` +
    (detail(p, 'doubled') === '' ? '.' : ', which is struck already: it is plucked once.'),
};
