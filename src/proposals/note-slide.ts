/** Deliberate pedal slides: from '3:2 Eb4 to E at 3:3' to a passage in which a string that rings is heard to bend. */

import * as v from 'valibot';
import { type Result, fail, ok } from '../base/result';
import { type Ticks, ticks } from '../base/units';
import { stringOf } from '../harp/strings';
import { countTicks } from '../music/metre';
import type { Passage, Pluck, Slide } from '../music/passage';
import { type Pitch, diatonicIndex, pitchName, spellingName } from '../music/pitch';
import { capital } from '../playability/wording';
import {
  type NoteFix,
  noteFixName,
  noteFixSchema,
  parseNoteFixes,
  spellingsOfFixes,
  withSpellingsFixed,
} from './note-fix';

/** One slide asked for; plain data, as it is saved. */
export interface NoteSlide {
  /** The note that rings, spelt as it is plucked: its letter is the pedal that moves. */
  readonly note: NoteFix;
  /** Where the pedal goes. */
  readonly to: -1 | 0 | 1;
  /** When it stands there: bar by its printed number, beats from 1. */
  readonly at: { readonly bar: string; readonly beat: number };
}

/** Reads a saved `NoteSlide`. */
export const noteSlideSchema = v.object({
  note: noteFixSchema,
  to: v.picklist([-1, 0, 1]),
  at: v.object({ bar: noteFixSchema.entries.bar, beat: noteFixSchema.entries.beat }),
});

const SHAPE = '“3:2 Eb4 to E at 3:3”';
const SIGNS: Readonly<Record<string, -1 | 0 | 1>> = {
  ...{ '': 0, n: 0, '♮': 0, b: -1, '♭': -1, '#': 1, '♯': 1 },
};
const GOAL = /^([A-G])([b♭#♯n♮]?)(?:-?[0-9]?)$/i;
const AT =
  /^(?:bar\s*)?([0-9]+[A-Za-z]?)\s*[:.,\s]\s*(?:beat\s*)?([0-9]+(?:\.[0-9]+)?)(?:\s+([0-9]+)\/([0-9]+))?$/i;

/**
 * Reads slides, parted by semicolons or line ends: the note that rings with its place, the pitch of the same string
 * that it slides to, and when. A mistake is answered by one sentence each.
 */
export function parseNoteSlides(text: string): Result<readonly NoteSlide[], string> {
  const slides: NoteSlide[] = [];
  const wrong: string[] = [];
  for (const word of text.split(/[;\n]/).map((w) => w.trim())) {
    if (word === '') continue;
    const read = parseOne(word);
    if (typeof read === 'string') wrong.push(read);
    else slides.push(read);
  }
  if (wrong.length > 0) return fail(...wrong);
  if (slides.length === 0) return fail(`A slide is written by its note, its goal and its place: ${SHAPE}.`);
  return ok(slides);
}

function parseOne(word: string): NoteSlide | string {
  const [from = '', rest = ''] = word.split(/\s+to\s+/i);
  const [goal = '', place = ''] = rest.split(/\s+at\s+/i);
  const to = GOAL.exec(goal.trim());
  const at = AT.exec(place.trim());
  if (to === null || at === null) return `“${word}” is no slide: write ${SHAPE}.`;
  const notes = parseNoteFixes(from);
  if (!notes.ok) return notes.problems[0] ?? `“${word}” is no slide: write ${SHAPE}.`;
  const note = notes.value[0] as NoteFix;
  if ((to[1] as string).toUpperCase() !== note.letter)
    return `“${word}”: a pedal moves one string, so ${spellingName(note.letter, note.alter)} slides to another ${note.letter}.`;
  const alter = SIGNS[(to[2] as string).toLowerCase()] as -1 | 0 | 1;
  if (alter === note.alter)
    return `“${word}”: ${spellingName(note.letter, alter)} is where the pedal stands already.`;
  const [, bar = '', whole = '', over, under] = at;
  if (under !== undefined && Number(under) === 0) return `“${word}”: a fraction of a beat has no zero below.`;
  const beat = Number(whole) + (under === undefined ? 0 : Number(over) / Number(under));
  if (beat < 1) return `“${word}”: beats are counted from 1.`;
  return { note, to: alter, at: { bar, beat } };
}

const shown = (beat: number): number => Math.round(beat * 1000) / 1000;

/** 'bar 3, beat 2.5'. */
export const slidePlace = ({ bar, beat }: NoteSlide['at']): string => `bar ${bar}, beat ${shown(beat)}`;

/** 'bar 3, beat 2: E♭4 to E♮ at bar 3, beat 3'. */
export const noteSlideName = ({ note, to, at }: NoteSlide): string =>
  `${noteFixName(note)} to ${spellingName(note.letter, to)}${to === 0 ? '♮' : ''} at ${slidePlace(at)}`;

/** When a slide from a pluck happens: at its place in that pass of a repeat; null where the place is not to be found. */
function instantOf(passage: Passage, pluck: Pluck, at: NoteSlide['at']): Ticks | null {
  for (const bar of passage.bars) {
    if (bar.number !== at.bar || bar.start + bar.length <= pluck.onset) continue;
    const onset = ticks(bar.start + Math.round((at.beat - 1) * countTicks(bar.metre)));
    return onset < bar.start + bar.length ? onset : null;
  }
  return null;
}

/** Until when a string that was plucked can be heard to slide: its next pluck, or when it is damped; null never. */
export function ringsUntil(passage: Passage, pluck: Pluck): Ticks | null {
  if (pluck.technique === 'etouffe') return null;
  const ends = [
    ...passage.plucks
      .filter((p) => p.onset > pluck.onset && diatonicIndex(p.pitch) === diatonicIndex(pluck.pitch))
      .map((p) => p.onset),
    ...passage.damps
      .filter((d) => d.onset > pluck.onset && (d.below === undefined || stringOf(pluck.pitch) < d.below))
      .map((d) => d.onset),
  ];
  return ends.length === 0 ? ticks(Number.MAX_SAFE_INTEGER) : ticks(Math.min(...ends));
}

/** The slide of one pluck, or why it cannot be. */
function slideOf(passage: Passage, pluck: Pluck, pitch: Pitch, { to, at }: NoteSlide): Slide | string {
  const onset = instantOf(passage, pluck, at);
  const place = slidePlace(at);
  if (onset === null) return `There is no ${place} after ${pitchName(pitch)} for it to slide at.`;
  if (onset <= pluck.onset) return `A slide comes after its note: ${capital(place)} does not.`;
  const end = ringsUntil(passage, { ...pluck, pitch });
  if (end === null) return `${pitchName(pitch)} is damped at once: nothing rings that could slide.`;
  if (onset >= end)
    return `${pitchName(pitch)} no longer rings at ${place}: its string is plucked or damped before.`;
  return { id: `slide-${pluck.id}`, pluck: pluck.id, onset, to: { ...pitch, alter: to } };
}

function made(passage: Passage, slides: readonly NoteSlide[]): { passage: Passage; wrong: string[] } {
  const wrong: string[] = [];
  let now = passage;
  const added = new Map<string, Slide>();
  for (const asked of slides) {
    const found = spellingsOfFixes(now, [asked.note]);
    if (!found.ok) {
      wrong.push(...found.problems);
      continue;
    }
    for (const [id, pitch] of found.value) {
      const pluck = now.plucks.find((p) => p.id === id);
      const slide =
        pluck === undefined
          ? `${pitchName(pitch)} trembles: only a plucked note can slide.`
          : slideOf(now, pluck, pitch, asked);
      if (typeof slide === 'string') wrong.push(slide);
      else added.set(id, slide);
    }
    now = withSpellingsFixed(now, new Map([...found.value].filter(([id]) => added.has(id))));
  }
  if (added.size === 0) return { passage: now, wrong };
  const others = (now.slides ?? []).filter((s) => !added.has(s.pluck));
  const all = [...others, ...added.values()].sort((a, b) => a.onset - b.onset);
  return { passage: { ...now, slides: all }, wrong };
}

/** The passage with the slides, in every pass of a repeated bar. One sentence for each that cannot be. */
export function withNoteSlides(passage: Passage, slides: readonly NoteSlide[]): Result<Passage, string> {
  const { passage: slid, wrong } = made(passage, slides);
  return wrong.length > 0 ? fail(...wrong) : ok(slid);
}

/** The same for music that is still to be found: a slide holds where its note sounds and rings, and asks for none. */
export const withNoteSlidesWhere = (passage: Passage, slides: readonly NoteSlide[]): Passage =>
  slides.length === 0 ? passage : made(passage, slides).passage;
