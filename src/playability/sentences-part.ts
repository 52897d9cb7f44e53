/** Sentences of the rules for whole parts: marks against notes, ringing strings, balance, stamina. */

import type { Problem } from '../base/problem';
import { barList, barWords } from './places';
import { type Say, byKind, detail, interval, numberWord, quantity } from './wording';

const times = (p: Problem): string => {
  const n = Number(detail(p, 'count') || '1');
  return n <= 1 ? '' : ` (${numberWord(n)} times until the next mark)`;
};
const mark = (p: Problem): string =>
  `the mark ${detail(p, 'mark')} in ${barWords(detail(p, 'bar'))}, beat ${detail(p, 'beat')},`;

/** Marks that do not fit the notes: the kinds of `wrong-pedal` that a part with marks of its own may have. */
export const MARK_KINDS: Readonly<Record<string, Say>> = {
  opening: (p) =>
    `${p.value} is written, but the opening pedal diagram has ${p.limit}, and no mark changes it${times(p)}.`,
  missing: (p) =>
    `${p.value} is written, but the pedal still stands at ${p.limit}: a mark for ${p.value} is missing${times(p)}.`,
  late: (p) =>
    `${p.value} is written, but the pedal still stands at ${p.limit}: ${mark(p)} comes ${quantity(Number(detail(p, 'seconds')), 's')} too late.`,
  early: (p) =>
    `${p.value} is written, but ${mark(p)} has already moved the pedal: it comes too early, before the last ${p.value}.`,
  contradicts: (p) =>
    `${p.value} is written, but ${mark(p)} says otherwise: one of them is wrong${times(p)}.`,
};

const rests = (p: Problem): string => {
  const bars = detail(p, 'rests');
  if (bars === '') return 'a short rest would help';
  return `${bars.includes(',') ? 'rests' : 'a rest'} in ${barList(bars.split(', '))} would help`;
};
const goesOn =
  (what: string): Say =>
  (p) =>
    `${what} for ${quantity(p.value, 's')} without a break; after ${quantity(p.limit, 's')} it tires: ${rests(p)}.`;
const hand = (p: Problem): string => (detail(p, 'hand') === '' ? 'a hand' : `the ${detail(p, 'hand')} hand`);

const share = (p: Problem): string =>
  `${2 * Number(p.value) > Number(p.limit) ? 'most bars' : 'many bars'} (${p.value} of ${p.limit}) are`;
const tempo = (p: Problem): string =>
  `♩ = ${detail(p, 'tempo')}${detail(p, 'assumed') === '' ? '' : ' (which nobody wrote)'}`;
const slower = (p: Problem): string =>
  detail(p, 'slower') === '' ? '' : `, or take it at about ♩ = ${detail(p, 'slower')}`;

export const PART_SENTENCES: Readonly<Record<string, Say>> = {
  'pedal-mark': byKind(
    {
      standing: (p) =>
        `the pedal mark ${p.value} changes nothing: the pedal stands there already (write it in brackets if it is a reminder).`,
      'no-opening': () =>
        'the part marks its pedals but no full setting stands before the first note: show all seven there.',
      glissando: (p) =>
        `the glissando has no full setting before it: show all seven pedals there (${p.limit}).`,
      unused: (p) => `no note needs the pedal mark ${p.value} before the next mark of that pedal: it can go.`,
    },
    (p) => `the pedal mark ${p.value} does not fit the notes; expected ${p.limit}.`,
  ),

  'sharp-key': (p) =>
    `the key has ${numberWord(p.value)} sharps, in which the strings are shortest and ring least; the harp’s own key signature ` +
    `may have ${numberWord(p.limit)} flats instead, at the same sound.`,

  blur: (p) =>
    `${detail(p, 'low')} and ${detail(p, 'high')}, ${interval(p.value)} apart, sound together below ${detail(p, 'below')}, where close notes blur; ` +
    'open the chord to a fifth, an octave or a tenth.',

  'damp-time': byKind(
    {
      all: (p) =>
        `all strings are to be damped within ${quantity(p.value, 's')} between two strokes; that takes both hands and ${quantity(p.limit, 's')}.`,
    },
    (p) =>
      `the low strings (below ${detail(p, 'below')}) are to be damped within ${quantity(p.value, 's')} between two strokes of the left hand; allow ${quantity(p.limit, 's')}.`,
  ),

  'pedal-ring': (p) =>
    `the pedal moves from ${detail(p, 'from')} to ${detail(p, 'to')} at most ${quantity(p.value, 's')} after the ` +
    `${detail(p, 'string')} string was plucked; it is heard to bend for ${quantity(p.limit, 's')}: damp it first, or leave more time.`,

  damping: byKind(
    {
      harmony: (p) =>
        `the low ${detail(p, 'first')} still rings (${quantity(p.value, 's')} after it) into a harmony that it does not belong to ` +
        `(${detail(p, 'second')}); mark where it is to be damped, or let it blur on purpose.`,
    },
    (p) =>
      `${detail(p, 'second')} is plucked while the low ${detail(p, 'first')} still rings (${quantity(p.value, 's')} after it); ` +
      'mark where the bass is to be damped, or let it blur on purpose.',
  ),

  balance: byKind(
    {
      forced: (p) =>
        `the top octave is marked ${p.value}; it is dry and thin when forced: ${p.limit} is enough.`,
      low: (p) =>
        `a single low string is marked ${p.value}; an orchestra will cover it: double it at the octave, or thin the others out.`,
      soft: (p) =>
        `harmonics and étouffés are marked ${p.value}; they are soft by nature and will be covered by any but a thin accompaniment.`,
    },
    (p) => `the balance is doubtful: marked ${p.value}; expected ${p.limit}.`,
  ),

  stamina: byKind(
    {
      bisbigliando: goesOn('the bisbigliando goes on'),
      octaves: (p) => goesOn(`${hand(p)} plays octaves`)(p),
      stretches: (p) => goesOn(`${hand(p)} is stretched beyond an octave`)(p),
      etouffes: (p) => goesOn(`${hand(p)} plays étouffés`)(p),
      harmonics: (p) => goesOn(`${hand(p)} plays harmonics`)(p),
      top: goesOn('the top octave is played loud'),
      fast: goesOn('both hands play fast'),
    },
    goesOn('this goes on'),
  ),

  'part-not-harp': (p) =>
    `${p.value} notes in a hundred cannot be played where they stand (${p.limit} is the most in a part for the harp): ` +
    'is this the right part, and the right clef?',

  'part-partly': (p) =>
    `${detail(p, 'bars')} ${detail(p, 'bars').startsWith('bars') ? 'are' : 'is'} for ${p.value}, not for the harp: ` +
    `left out of the check (${detail(p, 'notes')} notes).`,

  'part-unsuited': byKind(
    {
      fast: (p) => `${share(p)} faster than a harp speaks at ${tempo(p)}: reduce the part first${slower(p)}.`,
      feet: (p) =>
        `${share(p)} beyond the pedals at ${tempo(p)}, which would have to move faster than feet can: reduce the part first.`,
      hands: (p) =>
        `${share(p)} beyond a harpist’s hands, which have four fingers each and reach an eleventh: reduce the part first.`,
    },
    (p) => `${share(p)} not harp music as they stand: reduce the part first.`,
  ),
};
