/** Walks the bars of a part in the order of the file. */

import { TICKS_PER_QUARTER } from '../../../base/units';
import { type Result, ok } from '../../../base/result';
import type { Metre } from '../../../music/metre';
import { fileProblem } from '../../problems';
import { readDirection, readDynamic, readHarmony, readSound } from './direction';
import { type Transposition, readNote, readPitch, staffOf, voiceOf } from './note';
import type { Jumps, RawMark, RawMeasure, RawNote } from './raw';
import { type XmlElement, child, childNumber, childText, children } from './tree';
import type { ReadOptions } from './types';
import type { UnreadList } from './unread';
import { jumpOf } from './words';

/** What holds on from bar to bar. */
interface State {
  /** Ticks to the division. */
  scale: number;
  metre: Metre;
  fifths: number;
  transposition: Transposition;
  ending: readonly number[] | null;
}

const startState = (): State => ({
  scale: TICKS_PER_QUARTER,
  metre: { beats: 4, unit: 4 },
  fifths: 0,
  transposition: { steps: 0, semitones: 0 },
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

/** Takes up key, metre, divisions; answers a transposition that is no octave and not to be applied. */
function takeAttributes(
  attributes: XmlElement,
  state: State,
  options: ReadOptions,
  bar: string,
  unread: UnreadList,
): number | null {
  const divisions = childNumber(attributes, 'divisions');
  if (divisions !== undefined && divisions > 0) state.scale = TICKS_PER_QUARTER / divisions;
  const time = child(attributes, 'time');
  if (time !== undefined) state.metre = readMetre(time, bar, unread) ?? state.metre;
  const transpose = child(attributes, 'transpose');
  if (transpose !== undefined) {
    const chromatic = childNumber(transpose, 'chromatic') ?? 0;
    if (chromatic % 12 !== 0 && options.transpose !== 'apply') return chromatic;
    const octaves = childNumber(transpose, 'octave-change') ?? 0;
    // Where the steps are not said: those of the nearest interval of the major scale.
    const steps = childNumber(transpose, 'diatonic') ?? Math.round((chromatic * 7) / 12);
    state.transposition = { steps: steps + 7 * octaves, semitones: chromatic + 12 * octaves };
  }
  const fifths = childNumber(child(attributes, 'key'), 'fifths');
  if (fifths !== undefined) {
    // A fifth up is seven semitones and four steps: what is left of the interval moves the key.
    const { steps, semitones } = state.transposition;
    const sounding = Math.round(fifths) + 7 * semitones - 12 * steps;
    state.fifths = Math.max(-7, Math.min(7, sounding));
  }
  if (child(attributes, 'measure-style') !== undefined) readMeasureStyle(attributes, bar, unread);
  return null;
}

/** Rests that are gathered change nothing that is played. */
function readMeasureStyle(attributes: XmlElement, bar: string, unread: UnreadList): void {
  for (const style of children(attributes, 'measure-style').flatMap((m) => m.children)) {
    if (style.name !== 'multiple-rest') unread.add(style.name, bar);
  }
}

function readMeasure(
  measure: XmlElement,
  index: number,
  state: State,
  options: ReadOptions,
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
  // A key at the bar's end is that of the next bar.
  let ownFifths: number | null = null;
  const jumps: { -readonly [K in keyof Jumps]: Jumps[K] } = {
    segno: false,
    coda: false,
    jump: null,
    toCoda: false,
    fine: false,
  };
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
        const pitch = readPitch(element, state.transposition, bar, unread);
        const length = isGrace ? 0 : duration * state.scale;
        if (pitch !== null)
          notes.push(readNote(element, pitch, at, length, count, options.harmonics, bar, unread));
        marks.push(...ownDynamics(element, at, bar, unread));
      }
      if (child(element, 'lyric') !== undefined) unread.add('lyric', bar);
      if (!isChord && !isGrace) move(duration);
    } else if (element.name === 'backup') {
      move(-duration);
    } else if (element.name === 'forward') {
      move(duration);
    } else if (element.name === 'attributes') {
      if (cursor > 0) ownFifths ??= state.fifths;
      const transposed = takeAttributes(element, state, options, bar, unread);
      if (transposed !== null) {
        return fileProblem('part-transposed', transposed, 'a part at concert pitch, or in octaves', { bar });
      }
    } else if (element.name === 'direction') {
      marks.push(...readDirection(element, cursor + offset, bar, unread));
      takeJumps(element, jumps);
    } else if (element.name === 'sound') {
      marks.push(...readSound(element, cursor + offset));
      takeJumps(element, jumps);
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
  const { metre, ending } = state;
  const fifths = ownFifths ?? state.fifths;
  if (closes) state.ending = null;
  const used = { voices: [...voices], staves: [...staves] };
  return ok({ index, number: bar, metre, reach, notes, ...used, marks, fifths, repeat, ending, jumps });
}

/** Dynamics that hang on a note hold for both hands from there on. */
function ownDynamics(note: XmlElement, at: number, bar: string, unread: UnreadList): RawMark[] {
  const names = children(note, 'notations')
    .flatMap((n) => children(n, 'dynamics'))
    .flatMap((d) => d.children);
  return names.flatMap(({ name }): RawMark[] => {
    const dynamic = readDynamic(name);
    if (dynamic === null) unread.add('dynamics', bar, name);
    return dynamic === null ? [] : [{ kind: 'dynamic', at, staff: 0, dynamic }];
  });
}

/** Takes up the jumps of a direction or sound: by its attributes, its signs, or its words. */
function takeJumps(element: XmlElement, jumps: { -readonly [K in keyof Jumps]: Jumps[K] }): void {
  const sound = element.name === 'sound' ? element : child(element, 'sound');
  const types = children(element, 'direction-type').flatMap((type) => type.children);
  const words = types.filter((type) => type.name === 'words').map((type) => type.text);
  const said = jumpOf(words.join(' '));
  const has = (name: string): boolean => sound?.attributes[name] !== undefined;
  const sign = (name: string): boolean => types.some((type) => type.name === name);
  // 'To Coda' beside its sign: the sign is not the place to go to.
  const toCoda = has('tocoda') || said === 'tocoda';
  if (has('dacapo') || said === 'dacapo') jumps.jump = 'dacapo';
  if (has('dalsegno') || said === 'dalsegno') jumps.jump = 'dalsegno';
  if (toCoda) jumps.toCoda = true;
  if (has('fine') || said === 'fine') jumps.fine = true;
  const leaves = jumps.jump !== null && (has('dalsegno') || said === 'dalsegno');
  if (has('segno') || (sign('segno') && !leaves)) jumps.segno = true;
  if (has('coda') || (sign('coda') && !toCoda)) jumps.coda = true;
}

/** All bars of a part. Fails where the part transposes by anything but octaves. */
export function readMeasures(
  measures: readonly XmlElement[],
  options: ReadOptions,
  unread: UnreadList,
): Result<RawMeasure[]> {
  const state = startState();
  const out: RawMeasure[] = [];
  for (const [index, measure] of measures.entries()) {
    const raw = readMeasure(measure, index, state, options, unread);
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
