/** Walks the bars of a part in the order of the file. */

import { TICKS_PER_QUARTER } from '../../../base/units';
import { type Result, ok } from '../../../base/result';
import type { Metre } from '../../../music/metre';
import { fileProblem } from '../../problems';
import { readDirection, readDynamic, readHarmony, readSound } from './direction';
import { readNote, readPitch, staffOf, voiceOf } from './note';
import type { RawMark, RawMeasure, RawNote } from './raw';
import { type XmlElement, child, childNumber, childText, children } from './tree';
import type { UnreadList } from './unread';

/** What holds on from bar to bar. */
interface State {
  /** Ticks to the division. */
  scale: number;
  metre: Metre;
  fifths: number;
  /** Octaves to add to what is written. */
  octaves: number;
  ending: readonly number[] | null;
}

const startState = (): State => ({
  scale: TICKS_PER_QUARTER,
  metre: { beats: 4, unit: 4 },
  fifths: 0,
  octaves: 0,
  ending: null,
});

/** Elements of a bar that carry layout and sound settings only. */
const SILENT = new Set(['print', 'backup', 'forward', 'bookmark', 'link', 'grouping', 'listening']);

function readMetre(time: XmlElement, bar: string, unread: UnreadList): Metre | null {
  const unit = childNumber(time, 'beat-type');
  const beats = (childText(time, 'beats') ?? '').split('+').reduce((sum, n) => sum + Number(n), 0);
  if (unit === undefined || ![1, 2, 4, 8, 16, 32].includes(unit) || !Number.isInteger(beats) || beats < 1) {
    unread.add('time', bar, child(time, 'senza-misura') === undefined ? '' : 'senza misura');
    return null;
  }
  if (children(time, 'beats').length > 1) unread.add('time', bar, 'of several parts');
  return { beats, unit };
}

/** Takes up key, metre, divisions; answers a transposition that is no octave. */
function takeAttributes(
  attributes: XmlElement,
  state: State,
  bar: string,
  unread: UnreadList,
): number | null {
  const divisions = childNumber(attributes, 'divisions');
  if (divisions !== undefined && divisions > 0) state.scale = TICKS_PER_QUARTER / divisions;
  const time = child(attributes, 'time');
  if (time !== undefined) state.metre = readMetre(time, bar, unread) ?? state.metre;
  const fifths = childNumber(child(attributes, 'key'), 'fifths');
  if (fifths !== undefined) state.fifths = Math.max(-7, Math.min(7, Math.round(fifths)));
  if (child(attributes, 'measure-style') !== undefined) unread.add('measure-style', bar);
  const transpose = child(attributes, 'transpose');
  if (transpose !== undefined) {
    const chromatic = childNumber(transpose, 'chromatic') ?? 0;
    if (chromatic % 12 !== 0) return chromatic;
    state.octaves = chromatic / 12 + (childNumber(transpose, 'octave-change') ?? 0);
  }
  return null;
}

function readMeasure(
  measure: XmlElement,
  index: number,
  state: State,
  unread: UnreadList,
): Result<RawMeasure> {
  const bar = measure.attributes.number ?? '';
  const notes: RawNote[] = [];
  const marks: RawMark[] = [];
  const voices = new Set<number>();
  const staves = new Set<1 | 2>();
  const repeat = { start: false, end: false, times: 2 };
  let cursor = 0;
  let reach = 0;
  let chordAt = 0;
  let closes = false;
  let count = -1;
  const move = (divisions: number) => {
    cursor = Math.max(0, cursor + divisions * state.scale);
    reach = Math.max(reach, cursor);
  };
  for (const element of measure.children) {
    const duration = Math.max(0, childNumber(element, 'duration') ?? 0);
    const offset = (childNumber(element, 'offset') ?? 0) * state.scale;
    if (element.name === 'note') {
      count++;
      const isChord = child(element, 'chord') !== undefined;
      const isGrace = child(element, 'grace') !== undefined;
      const at = isChord ? chordAt : cursor;
      if (!isChord) chordAt = cursor;
      voices.add(voiceOf(element));
      staves.add(staffOf(element));
      if (child(element, 'cue') !== undefined) unread.add('cue', bar);
      else if (child(element, 'rest') === undefined) {
        const pitch = readPitch(element, state.octaves, bar, unread);
        const length = isGrace ? 0 : duration * state.scale;
        if (pitch !== null) notes.push(readNote(element, pitch, at, length, count, bar, unread));
        marks.push(...ownDynamics(element, at));
      }
      if (child(element, 'lyric') !== undefined) unread.add('lyric', bar);
      if (!isChord && !isGrace) move(duration);
    } else if (element.name === 'backup') {
      move(-duration);
    } else if (element.name === 'forward') {
      move(duration);
    } else if (element.name === 'attributes') {
      const transposed = takeAttributes(element, state, bar, unread);
      if (transposed !== null) {
        return fileProblem('part-transposed', transposed, 'a part at concert pitch, or in octaves', { bar });
      }
    } else if (element.name === 'direction') {
      marks.push(...readDirection(element, cursor + offset, bar, unread));
      noteJumps(child(element, 'sound'), bar, unread);
    } else if (element.name === 'sound') {
      marks.push(...readSound(element, cursor + offset));
      noteJumps(element, bar, unread);
    } else if (element.name === 'harmony') {
      const chord = readHarmony(element);
      if (chord === null) unread.add('harmony', bar);
      else marks.push({ kind: 'chord', at: cursor + offset, chord });
    } else if (element.name === 'barline') {
      const direction = child(element, 'repeat')?.attributes.direction;
      if (direction === 'forward') repeat.start = true;
      if (direction === 'backward') {
        repeat.end = true;
        repeat.times = Math.min(8, Number(child(element, 'repeat')?.attributes.times ?? 2) || 2);
      }
      const ending = child(element, 'ending')?.attributes;
      if (ending?.type === 'start') state.ending = (ending.number ?? '').match(/\d+/g)?.map(Number) ?? null;
      else if (ending !== undefined) closes = true;
    } else if (!SILENT.has(element.name)) {
      unread.add(element.name, bar);
    }
  }
  const { metre, fifths, ending } = state;
  if (closes) state.ending = null;
  const used = { voices: [...voices], staves: [...staves] };
  return ok({ index, number: bar, metre, reach, notes, ...used, marks, fifths, repeat, ending });
}

/** Dynamics that hang on a note hold for both hands from there on. */
function ownDynamics(note: XmlElement, at: number): RawMark[] {
  const names = children(note, 'notations')
    .flatMap((n) => children(n, 'dynamics'))
    .flatMap((d) => d.children);
  return names.flatMap(({ name }): RawMark[] => {
    const dynamic = readDynamic(name);
    return dynamic === null ? [] : [{ kind: 'dynamic', at, staff: 0, dynamic }];
  });
}

/** Jumps other than repeats are not followed. */
function noteJumps(sound: XmlElement | undefined, bar: string, unread: UnreadList): void {
  for (const jump of ['dacapo', 'dalsegno', 'tocoda', 'fine']) {
    if (sound?.attributes[jump] !== undefined) unread.add('jump', bar, jump);
  }
}

/** All bars of a part. Fails where the part transposes by anything but octaves. */
export function readMeasures(measures: readonly XmlElement[], unread: UnreadList): Result<RawMeasure[]> {
  const state = startState();
  const out: RawMeasure[] = [];
  for (const [index, measure] of measures.entries()) {
    const raw = readMeasure(measure, index, state, unread);
    if (!raw.ok) return raw;
    out.push(raw.value);
  }
  return ok(out);
}

/** How far the voices of each bar of a part reach, in ticks: other parts say how long a bar is that ours leaves open. */
export function reaches(measures: readonly XmlElement[]): number[] {
  let scale = TICKS_PER_QUARTER;
  return measures.map((measure) => {
    let cursor = 0;
    let reach = 0;
    for (const element of measure.children) {
      const divisions = element.name === 'attributes' ? childNumber(element, 'divisions') : undefined;
      if (divisions !== undefined && divisions > 0) scale = TICKS_PER_QUARTER / divisions;
      const length = Math.max(0, childNumber(element, 'duration') ?? 0) * scale;
      if (element.name === 'backup') cursor = Math.max(0, cursor - length);
      else if (element.name === 'forward') cursor += length;
      else if (element.name === 'note' && child(element, 'chord') === undefined) cursor += length;
      reach = Math.max(reach, cursor);
    }
    return reach;
  });
}

/** Bars in the order in which they are played: repeats and endings unfolded. */
export function playOrder(measures: readonly RawMeasure[]): number[] {
  const out: number[] = [];
  let start = 0;
  let pass = 1;
  let i = 0;
  while (i < measures.length && out.length < 50_000) {
    const { repeat, ending } = measures[i] as RawMeasure;
    if (repeat.start && i !== start) {
      start = i;
      pass = 1;
    }
    if (ending !== null && !ending.includes(pass)) {
      i++;
      continue;
    }
    out.push(i);
    const next = measures[i + 1]?.ending ?? null;
    const again =
      repeat.end &&
      (ending === null
        ? pass < repeat.times
        : pass < Math.max(...ending) || (next?.includes(pass + 1) ?? false));
    if (again) {
      pass++;
      i = start;
      continue;
    }
    if (repeat.end || (ending !== null && next === null)) {
      start = i + 1;
      pass = 1;
    }
    i++;
  }
  return out;
}
