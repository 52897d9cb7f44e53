/** Changes to a score that somebody brings, made in its own file: what no change names stays as it is written. */

import { type Result, ok } from '../base/result';
import { lossless, make, printNode } from './musicxml/patch/lossless';
import { placeOf, rightAccidentals } from './musicxml/patch/accidentals';
import { addCue, addNote, bodyOf } from './musicxml/patch/add-notes';
import { type Found, changePitch, letRing, removeNote, setRoll } from './musicxml/patch/change-notes';
import { openScore } from './musicxml/patch/container';
import {
  addDirection,
  clearPedals,
  diagramNode,
  metronomeNode,
  setPedal,
  takePedal,
} from './musicxml/patch/directions';
import type { ScoreEdit } from './musicxml/patch/edits';
import { pitchNode, setChild, setTechnique } from './musicxml/patch/note-parts';
import { addSlide } from './musicxml/patch/slide';
import { OpenedScore } from './musicxml/patch/score';
import { musicXmlText } from './musicxml/read/bytes';
import { parseXml } from './musicxml/read/tree';
import type { NoteSource } from './musicxml/read/types';
import { fileProblem } from './problems';

export type { ScoreEdit, ScorePlace } from './musicxml/patch/edits';

/**
 * The score with its changes, in its own encoding and container (`.mxl` stays a zip with all its entries). Without
 * changes the text is the same to the character. Edits are made in order; sources and measures are those of the file
 * as it was read; so is `harmonics`, at what pitch those stand that say neither. Fails where the file cannot be read, or with `edit-place` where an edit names no note or measure of it.
 */
export function patchMusicXml(
  bytes: Uint8Array,
  edits: readonly ScoreEdit[],
  harmonics: 'string' | 'sounding' = 'string',
): Result<Uint8Array> {
  const checked = musicXmlText(bytes);
  if (!checked.ok) return checked;
  const opened = openScore(bytes);
  if (!opened.ok) return opened;
  const text = patchMusicXmlText(opened.value.text, edits, harmonics);
  return text.ok ? ok(opened.value.close(text.value)) : text;
}

/** The same for the text of a score. */
export function patchMusicXmlText(
  text: string,
  edits: readonly ScoreEdit[],
  harmonics: 'string' | 'sounding' = 'string',
): Result<string> {
  const parsed = parseXml(text);
  if (!parsed.ok) return parsed;
  const element = parsed.value;
  if (element.name !== 'score-partwise' && element.name !== 'score-timewise') {
    return fileProblem('not-musicxml', `<${element.name}>`, 'score-partwise or score-timewise');
  }
  const root = lossless(element, text);
  const score = new OpenedScore(root, harmonics);
  for (const edit of edits) {
    const missing = apply(score, edit);
    if (missing !== null) return fileProblem('edit-place', missing, 'a note or measure of the file');
  }
  for (const [measure, places] of score.touched) rightAccidentals(score, measure, places);
  return ok(text.slice(0, element.start) + printNode(root) + text.slice(element.end));
}

const sourceName = ({ part, measure, note }: NoteSource): string =>
  `part ${part}, measure ${measure + 1}, note ${note + 1}`;

/** Makes one change; answers the place that is not there, or null. */
function apply(score: OpenedScore, edit: ScoreEdit): string | null {
  if ('notes' in edit) {
    const found: Found[] = [];
    for (const source of edit.notes) {
      const one = score.note(source);
      if (one === null) return sourceName(source);
      found.push(one);
    }
    changeNotes(score, edit, found);
    return null;
  }
  if (edit.kind === 'clear-pedals') {
    for (const measure of score.measures(edit.part)) clearPedals(measure);
    return null;
  }
  const { part, measure: index, at } = edit.place;
  const measure = score.measures(part)[index];
  if (measure === undefined) return `part ${part}, measure ${index + 1}`;
  if (edit.kind === 'pedal-out' || edit.kind === 'pedal-set') {
    const done =
      edit.kind === 'pedal-out'
        ? takePedal(measure, at, edit.letter)
        : setPedal(measure, at, edit.letter, edit.to);
    return done ? null : `part ${part}, measure ${index + 1}, pedal ${edit.letter}`;
  }
  if (edit.kind === 'pedals') {
    const type = diagramNode(edit.setting);
    addDirection(score, measure, at, { type, placement: 'above', staff: 1 });
  } else if (edit.kind === 'tempo') {
    const tempo = edit.milliBpm / 1000;
    const type = metronomeNode(tempo);
    addDirection(score, measure, at, { type, placement: 'above', staff: 1, tempo });
  } else if (edit.kind === 'words') {
    const { placement, staff } = edit;
    const type = make('words', edit.italic === true ? { 'font-style': 'italic' } : {}, edit.text);
    addDirection(score, measure, at, { type, placement, staff });
  } else {
    const { standing } = measure;
    const id = edit.id === undefined ? {} : { id: score.freeId(edit.id) };
    const body = make('note', id, pitchNode(edit.pitch, standing.octaves));
    if (edit.technique !== undefined) setTechnique(body, edit.technique);
    addNote(score, measure, { at, length: edit.duration }, body, edit.voice, edit.staff);
    if (edit.ring === true) letRing({ measure, note: body });
  }
  return null;
}

type NotesEdit = Extract<ScoreEdit, { readonly notes: readonly NoteSource[] }>;

function changeNotes(score: OpenedScore, edit: NotesEdit, found: readonly Found[]): void {
  switch (edit.kind) {
    case 'pitch':
      for (const one of found) changePitch(score, one, edit.pitch);
      return;
    case 'remove':
      for (const one of found) removeNote(score, one);
      return;
    case 'cue':
      for (const one of found) makeCue(score, one);
      return;
    case 'staff':
      for (const one of found) toStaff(score, one, edit.staff);
      return;
    case 'voice':
      for (const one of found) moveToVoice(score, one, edit.voice, edit.staff);
      return;
    case 'roll':
      setRoll(score, found, edit.direction);
      return;
    case 'technique':
      for (const { note } of found) setTechnique(note, edit.technique);
      return;
    case 'slide':
      addSlide(score, found, edit.pitch, edit.id);
      return;
    case 'ring':
      for (const one of found.slice(-1)) letRing(one);
  }
}

function toStaff(score: OpenedScore, { measure, note }: Found, staff: 1 | 2): void {
  score.touch(measure, placeOf(note));
  setChild(note, 'staff', staff);
  score.touch(measure, placeOf(note));
}

/** A small note where a note stood; a grace note just goes. */
function makeCue(score: OpenedScore, found: Found): void {
  const { measure, note } = found;
  const timed = score.timeline(measure).notes.find((one) => one.node === note);
  const body = bodyOf(note);
  removeNote(score, found);
  if (timed !== undefined && !timed.grace)
    addCue(score, measure, { at: timed.at, length: timed.length }, body, timed.staff);
}

function moveToVoice(score: OpenedScore, found: Found, voice: number, staff: 1 | 2): void {
  const { measure, note } = found;
  const timed = score.timeline(measure).notes.find((one) => one.node === note);
  if (timed === undefined) return;
  if (timed.voice === voice || timed.grace) {
    toStaff(score, found, staff);
    return;
  }
  const body = bodyOf(note);
  score.moved.set(note, body);
  removeNote(score, found);
  addNote(score, measure, { at: timed.at, length: timed.length }, body, voice, staff);
}
