/** One `note` element. */

import type { Element } from 'xast';
import type { Pitch } from '../../../music/pitch';
import type { PrintedAccidental } from './accidentals';
import type { LaidNote } from './laid';
import { type Node, el, text } from './xml';

const pitchElement = (pitch: Pitch): Element =>
  el(
    'pitch',
    {},
    text('step', pitch.letter),
    pitch.alter === 0 ? null : text('alter', pitch.alter),
    text('octave', pitch.octave),
  );

const accidentalElement = (accidental: PrintedAccidental | undefined): Node =>
  accidental === undefined
    ? null
    : text('accidental', accidental.value, accidental.courtesy ? { cautionary: 'yes' } : {});

/** Elements from `voice` to `time-modification`. */
function valueElements(note: LaidNote, accidental: PrintedAccidental | undefined): Node[] {
  const { tuplet } = note;
  return [
    note.wholeBar ? null : text('type', note.value.type),
    note.value.dots === 1 ? el('dot', {}) : null,
    accidentalElement(accidental),
    tuplet === null
      ? null
      : el(
          'time-modification',
          {},
          text('actual-notes', tuplet.actual),
          text('normal-notes', tuplet.normal),
          text('normal-type', tuplet.normalType),
        ),
  ];
}

/** Start and end of the tuplet, which hang on the first head only. */
function tupletElements(note: LaidNote): Element[] {
  const { tuplet } = note;
  if (tuplet === null) return [];
  return [
    ...(tuplet.first ? [el('tuplet', { type: 'start', number: 1 })] : []),
    ...(tuplet.last ? [el('tuplet', { type: 'stop', number: 1 })] : []),
  ];
}

export function restElement(note: LaidNote, voice: number): Element {
  const tuplet = tupletElements(note);
  return el(
    'note',
    note.hidden ? { 'print-object': 'no' } : {},
    el('rest', note.wholeBar ? { measure: 'yes' } : {}),
    text('duration', note.end - note.start),
    text('voice', voice),
    ...valueElements(note, undefined),
    text('staff', note.staff),
    tuplet.length === 0 ? null : el('notations', {}, ...tuplet),
  );
}

export interface HeadMarks {
  readonly id: string;
  readonly pitch: Pitch;
  readonly first: boolean;
  readonly accidental: PrintedAccidental | undefined;
  /** Loudness in percent of MusicXML's forte, where it differs from the dynamic printed. */
  readonly loudness: string | null;
  readonly ring: boolean;
  readonly notationsId: string | null;
  readonly notations: readonly Element[];
  /** Whether the left hand plays it although its voice is the right hand's. */
  readonly left: boolean;
}

export function headElement(note: LaidNote, voice: number, head: HeadMarks): Element {
  const { tiedFrom, tiedTo } = note;
  const notations = [
    ...(tiedFrom ? [el('tied', { type: 'stop' })] : []),
    ...(tiedTo ? [el('tied', { type: 'start' })] : []),
    ...(head.ring && !tiedTo ? [el('tied', { type: 'let-ring' })] : []),
    ...(head.first ? tupletElements(note) : []),
    ...head.notations,
  ];
  return el(
    'note',
    { id: head.id, ...(head.loudness === null ? {} : { dynamics: head.loudness }) },
    head.first ? null : el('chord', {}),
    pitchElement(head.pitch),
    text('duration', note.end - note.start),
    tiedFrom ? el('tie', { type: 'stop' }) : null,
    tiedTo ? el('tie', { type: 'start' }) : null,
    text('voice', voice),
    ...valueElements(note, head.accidental),
    note.stem === null ? null : text('stem', note.stem),
    text('staff', note.staff),
    ...(head.first ? note.beams.map((value, i) => text('beam', value, { number: i + 1 })) : []),
    notations.length === 0 ? null : el('notations', { id: head.notationsId ?? undefined }, ...notations),
    head.left ? el('play', {}, text('other-play', 'left', { type: 'hand' })) : null,
  );
}

export interface SmallNote {
  readonly id: string;
  readonly pitch: Pitch;
  readonly accidental: PrintedAccidental | undefined;
  readonly staff: 1 | 2;
  /** The line that ends here. */
  readonly line: Element;
}

/** The small stemless end of a line: it takes its time from the note before, so that what follows keeps its onset. */
export function smallElement(voice: number, small: SmallNote): Element {
  return el(
    'note',
    { id: small.id },
    el('grace', { slash: 'yes', 'steal-time-previous': 1 }),
    pitchElement(small.pitch),
    text('voice', voice),
    text('type', 'quarter'),
    accidentalElement(small.accidental),
    text('stem', 'none'),
    text('staff', small.staff),
    el('notations', {}, small.line),
  );
}
