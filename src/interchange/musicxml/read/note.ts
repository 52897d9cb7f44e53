/** Reads one pitched `note`. */

import type { Finger, Technique, Hand } from '../../../music/passage';
import {
  type Alter,
  LETTERS,
  type Letter,
  type Pitch,
  diatonicIndex,
  harpSpellings,
  midiOf,
} from '../../../music/pitch';
import type { Line, RawNote } from './raw';
import { type XmlElement, child, childNumber, childText, children } from './tree';
import type { UnreadList } from './unread';
import { wordMeaning } from './words';

/** Notations that say nothing about strings, hands or pedals and are left to the engraver without a remark. */
const SILENT = new Set([
  'tied',
  'tuplet',
  'arpeggiate',
  'non-arpeggiate',
  'glissando',
  'slide',
  'technical',
  'ornaments',
  'dynamics',
]);

/** Articulations that a passage keeps. */
const DRY = new Set(['staccato', 'staccatissimo']);

/** How far a part sounds from what is written. */
export interface Transposition {
  readonly steps: number;
  readonly semitones: number;
}

/** A pitch moved by steps of the staff and semitones; spelt anew where that would take three signs. */
function moved(pitch: Pitch, { steps, semitones }: Transposition): Pitch {
  if (semitones === 0 && steps === 0) return pitch;
  const place = diatonicIndex(pitch) + steps;
  const letter = LETTERS[((place % 7) + 7) % 7] as Letter;
  const octave = Math.floor(place / 7);
  const alter = midiOf(pitch) + semitones - midiOf({ letter, alter: 0, octave });
  if (Math.abs(alter) <= 2) return { letter, alter: alter as Alter, octave };
  return harpSpellings(midiOf(pitch) + semitones)[0] ?? pitch;
}

/** The pitch that sounds; null where it is none. */
export function readPitch(
  note: XmlElement,
  transposition: Transposition,
  bar: string,
  unread: UnreadList,
): Pitch | null {
  const pitch = child(note, 'pitch');
  const letter = childText(pitch, 'step') as Letter | undefined;
  const octave = childNumber(pitch, 'octave');
  if (
    letter === undefined ||
    !LETTERS.includes(letter) ||
    octave === undefined ||
    !Number.isInteger(octave)
  ) {
    unread.add('note', bar, pitch === undefined ? 'unpitched' : 'no pitch that can be read');
    return null;
  }
  const alter = childNumber(pitch, 'alter') ?? 0;
  const whole = Math.max(-2, Math.min(2, Math.round(alter)));
  if (whole !== alter) unread.add('alter', bar, String(alter));
  return moved({ letter, alter: (whole === 0 ? 0 : whole) as Alter, octave }, transposition);
}

function readTechnical(
  notations: readonly XmlElement[],
  bar: string,
  harmonics: 'string' | 'sounding' | undefined,
  unread: UnreadList,
): { technique: Technique | null; finger: Finger | null; sounding: boolean } {
  let sounding = false;
  let technique: Technique | null = null;
  let finger: Finger | null = null;
  for (const mark of notations.flatMap((n) => children(n, 'technical')).flatMap((t) => t.children)) {
    if (mark.name === 'harmonic') {
      technique = 'harmonic';
      const said = child(mark, 'base-pitch') !== undefined;
      if (child(mark, 'sounding-pitch') !== undefined) sounding = true;
      else if (!said && harmonics === 'sounding') sounding = true;
      else if (!said && harmonics === undefined) unread.add('harmonic', bar, 'read at its string');
    } else if (mark.name === 'fingernails') technique = 'nail';
    else if (mark.name === 'fingering' && /^[1-4]$/.test(mark.text)) finger ??= Number(mark.text) as Finger;
    else if (mark.name === 'other-technical') {
      const meaning = wordMeaning(mark.text);
      if (meaning?.kind === 'technique') technique = meaning.technique;
      else unread.add(mark.name, bar, mark.text);
    } else unread.add(mark.name, bar, mark.text);
  }
  return { technique, finger, sounding };
}

/** The hand that a note names, as our own writer says it where both hands share a voice. */
function handSaid(note: XmlElement): Hand | null {
  const said = children(note, 'play')
    .flatMap((play) => children(play, 'other-play'))
    .find((other) => other.attributes.type === 'hand')?.text;
  return said === 'left' ? 'L' : said === 'right' ? 'R' : null;
}

/** Voice of a note or rest, 1 where the file says none. */
export function voiceOf(note: XmlElement): number {
  const voice = Number.parseInt(childText(note, 'voice') ?? '1', 10);
  return Number.isNaN(voice) ? 1 : voice;
}
export const staffOf = (note: XmlElement): 1 | 2 => (childText(note, 'staff') === '2' ? 2 : 1);

/** The record of a note at `at`. `length` is 0 for small notes. */
export function readNote(
  note: XmlElement,
  pitch: Pitch,
  at: number,
  length: number,
  index: number,
  harmonics: 'string' | 'sounding' | undefined,
  bar: string,
  unread: UnreadList,
): RawNote {
  const notations = children(note, 'notations');
  const marks = notations.flatMap((n) => n.children);
  const named = (name: string) => marks.filter((m) => m.name === name);
  for (const mark of marks) {
    if (mark.name === 'articulations') {
      for (const { name } of mark.children) if (!DRY.has(name)) unread.add(name, bar);
    } else if (!SILENT.has(mark.name)) unread.add(mark.name, bar);
  }
  const roll = named('arpeggiate')[0];
  const bracket = named('non-arpeggiate')[0];
  const lines = [...named('glissando'), ...named('slide')].flatMap((line): Line[] => {
    const { type, number } = line.attributes;
    return type === 'start' || type === 'stop' ? [{ type, number: `${line.name} ${number ?? '1'}` }] : [];
  });
  let tremolo: RawNote['tremolo'] = null;
  for (const ornament of named('ornaments').flatMap((o) => o.children)) {
    const type = ornament.attributes.type ?? 'single';
    if (ornament.name === 'tremolo' && (type === 'single' || type === 'start' || type === 'stop'))
      tremolo = type;
    else unread.add(ornament.name, bar);
  }
  const { technique, finger, sounding } = readTechnical(notations, bar, harmonics, unread);
  const ties = [...children(note, 'tie'), ...named('tied')].map((tie) => tie.attributes.type);
  const loudness = Number(note.attributes.dynamics ?? Number.NaN);
  return {
    index,
    id: note.attributes.id ?? null,
    at,
    length,
    // A harmonic written where it sounds is on the string an octave lower.
    pitch: sounding ? { ...pitch, octave: pitch.octave - 1 } : pitch,
    voice: voiceOf(note),
    staff: staffOf(note),
    chord: child(note, 'chord') !== undefined,
    grace: child(note, 'grace') !== undefined,
    tieStart: ties.includes('start') || ties.includes('continue'),
    tieStop: ties.includes('stop') || ties.includes('continue'),
    ring: ties.includes('let-ring'),
    technique,
    finger,
    roll:
      roll === undefined
        ? null
        : {
            number: roll.attributes.number ?? '1',
            direction: roll.attributes.direction === 'down' ? 'down' : 'up',
            id: roll.attributes.id ?? null,
          },
    bracket:
      bracket === undefined
        ? null
        : { number: bracket.attributes.number ?? '1', id: bracket.attributes.id ?? null },
    lines,
    tremolo,
    staccato: named('articulations').some((a) => a.children.some((m) => DRY.has(m.name))),
    notationsId: notations[0]?.attributes.id ?? null,
    loudness: Number.isFinite(loudness) ? loudness : null,
    hand: handSaid(note),
  };
}
