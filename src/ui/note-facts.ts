/** What can be said about one written note: its string, hand, finger and pedal. */

import type { Problem } from '../base/problem';
import type { Ticks } from '../base/units';
import { type PlannedPassage, settingAt, settingStruck } from '../harp/planned';
import { type Position, footOf, positionOf } from '../harp/setting';
import { type StringIndex, stringLetter, stringName, stringOf, stringPitch } from '../harp/strings';
import type { Finger, Hand, Technique } from '../music/passage';
import { type Pitch, spellingName } from '../music/pitch';
import { placeName } from '../playability/places';
import { capital } from '../playability/wording';

export interface NoteFacts {
  /** The id of the note in score and plan. */
  readonly id: string;
  readonly onset: Ticks;
  readonly string: StringIndex;
  /** 'E♭4'. */
  readonly name: string;
  readonly pitch: Pitch;
  /** Whether its spelling can be fixed: a glissando's strings follow their pedals. */
  readonly spelt: boolean;
  readonly hand: Hand | null;
  readonly finger: Finger | null;
  /** Sentences without place: string, hand and finger, pedal. */
  readonly stringWords: string;
  readonly handWords: string;
  readonly pedalWords: string;
  /** 'Bar 2, beat 3'. */
  readonly place: string;
}

const FINGERS: Readonly<Record<Finger, string>> = {
  1: 'thumb (1)',
  2: 'second finger',
  3: 'third finger',
  4: 'fourth finger',
};
const HANDS: Readonly<Record<Hand, string>> = { R: 'Right hand', L: 'Left hand' };
const TECHNIQUES: Readonly<Record<Technique, string>> = {
  ordinary: '',
  table: ', near the soundboard',
  harmonic: ', as a harmonic, sounding an octave higher',
  etouffe: ', damped at once',
  nail: ', with the fingernail',
};
const COLOURS: Readonly<Record<string, string>> = { C: 'a red one', F: 'a black one' };
const POSITIONS: Readonly<Record<Position, string>> = {
  [-1]: 'up (flat)',
  0: 'in the middle (natural)',
  1: 'down (sharp)',
};

const pitchWords = (p: Pitch): string => spellingName(p.letter, p.alter) + String(p.octave);

interface Sounding {
  readonly id: string;
  readonly onset: Ticks;
  readonly string: StringIndex;
  readonly pitch: Pitch;
  readonly hand: Hand | null;
  readonly finger: Finger | null;
  readonly how: string;
  readonly spelt: boolean;
}

/** Every note that the score shows by its id, in the order in which it is played, from low to high. */
export function noteFacts(planned: PlannedPassage): ReadonlyMap<string, NoteFacts> {
  const { passage } = planned;
  const swept = (id: string, string: StringIndex, onset: Ticks, hand: Hand, how: string): Sounding => {
    const pitch = stringPitch(string, positionOf(settingAt(planned, onset), stringLetter(string)));
    return { id, onset, string, pitch, hand, finger: null, how, spelt: false };
  };
  const all: Sounding[] = [
    ...passage.plucks.map((p): Sounding => ({
      id: p.id,
      onset: p.onset,
      string: stringOf(p.pitch),
      pitch: p.pitch,
      hand: p.hand,
      finger: p.finger,
      how: TECHNIQUES[p.technique],
      spelt: true,
    })),
    ...passage.trembles.flatMap((t) =>
      t.notes.map((n): Sounding => ({
        id: n.id,
        onset: t.onset,
        string: stringOf(n.pitch),
        pitch: n.pitch,
        hand: n.hand,
        finger: null,
        how: ', whispered to and fro between the hands',
        spelt: true,
      })),
    ),
    ...passage.sweeps.flatMap((s) => {
      const how = `, glissando from ${stringName(s.from)} to ${stringName(s.to)}`;
      const end = (s.onset + Math.max(0, s.duration - 1)) as Ticks;
      return [swept(s.id, s.from, s.onset, s.hand, how), swept(`${s.id}.end`, s.to, end, s.hand, how)];
    }),
  ];
  all.sort((a, b) => a.onset - b.onset || a.string - b.string);
  return new Map(all.map((s) => [s.id, told(planned, s)]));
}

function told(planned: PlannedPassage, s: Sounding): NoteFacts {
  const letter = stringLetter(s.string);
  const colour = COLOURS[letter];
  const discless = planned.instrument.discless.includes(s.string);
  const position = positionOf(settingStruck(planned, s.onset, s.pitch), letter);
  const finger = s.finger === null ? '' : `, ${FINGERS[s.finger]}`;
  return {
    id: s.id,
    onset: s.onset,
    string: s.string,
    name: pitchWords(s.pitch),
    pitch: s.pitch,
    spelt: s.spelt,
    hand: s.hand,
    finger: s.finger,
    stringWords: `String ${stringName(s.string)}${colour === undefined ? '' : `, ${colour}`}`,
    handWords: (s.hand === null ? 'Either hand' : HANDS[s.hand]) + finger + s.how,
    pedalWords: discless
      ? `No pedal reaches it: tuned to ${pitchWords(s.pitch)} before playing`
      : `${letter} pedal ${POSITIONS[position]}, ${footOf(letter)} foot`,
    place: capital(placeName(planned.passage.bars, s.onset)),
  };
}

/** One line for whoever hears the page. */
export const factsLine = (f: NoteFacts): string =>
  `${f.name}. ${f.place}. ${f.stringWords}. ${f.handWords}. ${f.pedalWords}`;

/** The notes that each problem concerns: those it names, or else those at (or next after) its place. */
export function notesOfProblems(
  problems: readonly Problem[],
  facts: ReadonlyMap<string, NoteFacts>,
): readonly (readonly string[])[] {
  const all = [...facts.values()];
  return problems.map(({ where }) => {
    if (where.kind !== 'music') return [];
    const named = where.ids.filter((id) => facts.has(id));
    if (named.length > 0) return named;
    const next = all.find((f) => f.onset >= where.onset);
    return next === undefined ? [] : [next.id];
  });
}

/** The note that an arrow key leads to: left and right in time, up and down within a chord. Null where there is none. */
export function neighbour(
  facts: ReadonlyMap<string, NoteFacts>,
  id: string,
  to: 'left' | 'right' | 'up' | 'down' | 'first' | 'last',
): string | null {
  const all = [...facts.values()];
  const here = facts.get(id);
  if (here === undefined || to === 'first' || to === 'last') {
    return (to === 'last' ? all.at(-1) : all[0])?.id ?? null;
  }
  const chord = all.filter((f) => f.onset === here.onset);
  if (to === 'up' || to === 'down') {
    return chord[chord.indexOf(here) + (to === 'up' ? 1 : -1)]?.id ?? null;
  }
  const onset =
    to === 'right'
      ? all.find((f) => f.onset > here.onset)?.onset
      : all.findLast((f) => f.onset < here.onset)?.onset;
  const there = all.filter((f) => f.onset === onset);
  const near = (f: NoteFacts): number => Math.abs(f.string - here.string);
  return (
    there.reduce<NoteFacts | null>((best, f) => (best === null || near(f) < near(best) ? f : best), null)
      ?.id ?? null
  );
}
