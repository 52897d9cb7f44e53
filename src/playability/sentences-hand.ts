/** Sentences of the rules of the hands and of the techniques. */

import { barWords } from './places';
import { type Say, byKind, detail, handOf, interval, numberWord, quantity } from './wording';

const faster: Say = (p) =>
  p.unit === 's'
    ? `${handOf(p)} has ${quantity(p.value, 's')} from one stroke to the next; it needs ${quantity(p.limit, 's')}.`
    : `${handOf(p)} has ${quantity(p.value, p.unit)}; ${quantity(p.limit, p.unit)} is the most.`;

export const HAND_SENTENCES: Readonly<Record<string, Say>> = {
  'four-fingers': (p) =>
    `${handOf(p)} has ${numberWord(p.value)} strings; a hand plays ${numberWord(p.limit)} at most.`,

  span: byKind(
    {
      unrolled: (p) =>
        `${handOf(p)} would stretch over ${interval(p.value)} (${detail(p, 'low')} to ${detail(p, 'high')}); ` +
        `${interval(p.limit)} is the limit: roll the chord or share it between the hands.`,
      wide: (p) =>
        `${handOf(p)} stretches over ${interval(p.value)} (${detail(p, 'low')} to ${detail(p, 'high')}); ` +
        `${interval(p.limit)} is safe for every hand.`,
      rolled: (p) =>
        `${handOf(p)} rolls over ${interval(p.value)} (${detail(p, 'low')} to ${detail(p, 'high')}); ` +
        `beyond ${interval(p.limit)} share the roll between the hands.`,
      'roll-time': (p) =>
        `the roll of ${handOf(p)} from ${detail(p, 'low')} to ${detail(p, 'high')} has ${quantity(p.value, 's')}; ` +
        `beyond the hand’s span it needs ${quantity(p.limit, 's')}.`,
    },
    (p) => `${handOf(p)} spans ${quantity(p.value, p.unit)}; ${quantity(p.limit, p.unit)} is the limit.`,
  ),

  spacing: (p) =>
    `in ${handOf(p)}’s chord of ${numberWord(Number(detail(p, 'notes')))} the gap between the ` +
    `${detail(p, 'fingers')} is ${interval(p.value)} (${detail(p, 'low')} to ${detail(p, 'high')}); ` +
    `it should be ${interval(p.limit)} at most.`,

  strain: byKind(
    {
      thumb: (p) =>
        `${handOf(p)} has its second finger close beside the thumb in a chord as wide as ${interval(p.value)} ` +
        `(${detail(p, 'low')} to ${detail(p, 'high')}), which strains; leave the gap under the top note.`,
      fourth: (p) =>
        `the lower three notes of ${handOf(p)}’s chord (from ${detail(p, 'low')}) span ${interval(p.value)}; ` +
        `from second to fourth finger ${interval(p.limit)} is comfortable.`,
    },
    (p) => `${handOf(p)} is strained by ${interval(p.value)}.`,
  ),

  placing: (p) =>
    `${handOf(p)} leaps from ${detail(p, 'from')} to a chord of ${numberWord(Number(detail(p, 'notes')))} ` +
    `(${detail(p, 'low')} to ${detail(p, 'high')}) in ${quantity(p.value, 's')}; allow ${quantity(p.limit, 's')} to get there and place the fingers.`,

  octaves: (p) =>
    `${handOf(p)} plays ${p.value} octaves a second; beyond ${numberWord(p.limit)} single notes speak better, or one note for each hand.`,

  chromatic: (p) =>
    `${handOf(p)} runs through ${numberWord(Number(detail(p, 'notes')))} semitones (${detail(p, 'from')} to ${detail(p, 'to')}) at ` +
    `${p.value} notes a second, where pedals follow ${numberWord(p.limit)}: use the notes of the chord, a scale of seven notes that can be set, or a glissando.`,

  reach: byKind(
    {
      low: (p) =>
        p.severity === 'error'
          ? `${handOf(p)} is given ${p.value}; it cannot reach below ${p.limit}.`
          : `${handOf(p)} is given ${p.value}; below ${p.limit} the left hand should play.`,
      top: (p) =>
        `${handOf(p)} has a quick line in the top octave (${detail(p, 'from')} and above); give it to the right hand.`,
    },
    (p) => `${handOf(p)} does not reach ${p.value}; the limit is ${p.limit}.`,
  ),

  'shared-string': (p) =>
    `both hands pluck the ${detail(p, 'string')} string ${quantity(p.value, 's')} apart; ` +
    `at least ${quantity(p.limit, 's')} must pass.`,

  'repeat-rate': byKind(
    {
      hard: (p) =>
        `the ${detail(p, 'string')} string is plucked again after ${quantity(p.value, 's')}; ` +
        `one hand needs ${quantity(p.limit, 's')} at least.`,
    },
    (p) => {
      const until = detail(p, 'until') === '' ? '' : `, on to ${barWords(detail(p, 'until'))}`;
      const times = `${numberWord(p.value)} times a second`;
      const again = detail(p, 'again');
      if (again !== '' && detail(p, 'strings') === '')
        return (
          `the ${detail(p, 'string')} string is plucked again after ${again} s, as if ${times}; ` +
          `beyond ${numberWord(p.limit)} it buzzes: use another string at the same pitch, or another order.`
        );
      return detail(p, 'strings') === ''
        ? `the ${detail(p, 'string')} string is plucked ${times}${until}; beyond ${numberWord(p.limit)} it buzzes: ` +
            'use two strings at the same pitch, or fewer repeats.'
        : `the strings ${detail(p, 'strings')} are plucked by turns, ${detail(p, 'string')} ${times}${until}; ` +
            `beyond ${numberWord(p.limit)} a string buzzes: spread the figure over more strings, or slow it.`;
    },
  ),

  'hand-speed': byKind(
    {
      strings: (p) =>
        `${handOf(p)} plucks ${p.value} strings a second; no hand plays more than ${numberWord(p.limit)}.`,
      shared: (p) =>
        `a run of ${p.value} strings a second is printed for ${handOf(p)} (at the tempo assumed); share it between the hands, of which one is free.`,
      line: (p) =>
        `${handOf(p)} alone plays a line of ${p.value} notes a second; beyond ${numberWord(p.limit)} share it between the hands.`,
      group: (p) =>
        `${handOf(p)} plays a group of ${p.value} notes a second; ${numberWord(p.limit)} is comfortable.`,
      both: (p) =>
        `the two hands share ${p.value} notes a second; ${numberWord(p.limit)} is comfortable from hand to hand.`,
      'both-scale': (p) =>
        `the two hands share a scale of ${p.value} notes a second; ${numberWord(p.limit)} is comfortable.`,
      chords: (p) =>
        `${handOf(p)} has ${p.value} four-note chords a second; beyond ${numberWord(p.limit)} there is no time to place them.`,
    },
    faster,
  ),

  leap: (p) =>
    `${handOf(p)} leaps${detail(p, 'from') === '' ? '' : ` from ${detail(p, 'from')} to ${detail(p, 'to')}`} in ${quantity(p.value, 's')}; ` +
    `allow ${quantity(p.limit, 's')}.`,

  harmonics: byKind(
    {
      range: (p) => `${p.value} is outside the range where harmonics speak (written ${p.limit}).`,
      many: (p) =>
        `${handOf(p)} has ${numberWord(p.value)} harmonics at once; ${numberWord(p.limit)} is the most.`,
      span: (p) =>
        `the harmonics of ${handOf(p)} span ${interval(p.value)}; ${interval(p.limit)} is the most.`,
      mixed: (p) =>
        `${handOf(p)} plays a harmonic and an open string at once; stopping the string takes the whole hand: share them out.`,
      rate: (p) =>
        `${handOf(p)} has ${p.value} harmonics a second; beyond ${numberWord(p.limit)} they do not speak well.`,
    },
    faster,
  ),

  table: byKind(
    {
      range: (p) =>
        `${p.value} is too high to play near the soundboard; stay at ${p.limit} or below, where the sound changes.`,
      both: (p) =>
        `${handOf(p)} is to pluck near the soundboard and at the middle of the strings at once; it can be at one place only.`,
      travel: (p) => {
        const n = Number(detail(p, 'times'));
        const way =
          n > 1
            ? `goes to the soundboard and back ${numberWord(n)} times in a row, at the quickest in`
            : detail(p, 'to') === 'soundboard'
              ? 'goes down to the soundboard in'
              : 'comes back from the soundboard in';
        return `${handOf(p)} ${way} ${quantity(p.value, 's')}; allow ${quantity(p.limit, 's')} each way.`;
      },
      span: (p) =>
        `near the soundboard ${handOf(p)} spans ${interval(p.value)}; keep chords within ${interval(p.limit)}.`,
    },
    faster,
  ),

  etouffe: byKind(
    {
      hand: () => 'étouffés are in the right hand; the left hand damps them better.',
      rate: (p) =>
        `${handOf(p)} has ${p.value} étouffés a second; damping each takes time: ${numberWord(p.limit)} is the most.`,
    },
    faster,
  ),

  bisbigliando: byKind(
    {
      few: (p) =>
        `the bisbigliando has ${numberWord(p.value)} notes; it needs at least ${numberWord(p.limit)}.`,
      many: (p) => `the bisbigliando has ${numberWord(p.value)} notes; ${numberWord(p.limit)} is the most.`,
      loud: (p) => `the bisbigliando is marked ${p.value}; it works only softly (${p.limit} or less).`,
      busy: (p) => `${handOf(p)} is busy with the bisbigliando and cannot well pluck anything else.`,
    },
    faster,
  ),

  sweep: byKind(
    {
      slow: (p) =>
        `the glissando passes ${p.value} strings a second; below ${p.limit} it no longer sounds like one.`,
      fast: (p) => `the glissando passes ${p.value} strings a second; ${p.limit} is about the most.`,
      busy: (p) => `${handOf(p)} is busy with the glissando and cannot pluck anything else.`,
      two: (p) => `${handOf(p)} has two glissandi at once.`,
    },
    faster,
  ),
};
