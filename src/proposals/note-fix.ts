/** Notes whose spelling is fixed: from 'bar 3 beat 2 Eb' to a passage that asks the planner for it. */

import * as v from 'valibot';
import { type Result, fail, ok } from '../base/result';
import type { Ticks } from '../base/units';
import { type Bar, countTicks } from '../music/metre';
import type { Passage } from '../music/passage';
import { LETTERS, type Letter, type Pitch, midiOf, spellingName } from '../music/pitch';

/** One spelling asked for at one place; plain data, as it is saved. */
export interface NoteFix {
  /** The bar's printed number: '3'. */
  readonly bar: string;
  /** In the metre's written beats from 1, fractions allowed; thousandths decide, as beats are shown. */
  readonly beat: number;
  readonly letter: Letter;
  readonly alter: -1 | 0 | 1;
  /** The octave of the letter; null for every note there that sounds so, in any octave. */
  readonly octave: number | null;
}

/** Reads a saved `NoteFix`. */
export const noteFixSchema = v.object({
  bar: v.pipe(v.string(), v.regex(/^[A-Za-z0-9]{1,8}$/)),
  beat: v.pipe(v.number(), v.minValue(1), v.maxValue(999)),
  letter: v.picklist(LETTERS),
  alter: v.picklist([-1, 0, 1]),
  octave: v.nullable(v.pipe(v.number(), v.integer(), v.minValue(0), v.maxValue(8))),
});

const SIGNS: Readonly<Record<string, -1 | 0 | 1>> = {
  ...{ '': 0, n: 0, '♮': 0, b: -1, '♭': -1, '#': 1, '♯': 1 },
};
const PLACE =
  /^(?:bar\s*)?([0-9]+[A-Za-z]?)\s*(?:[:.,\s]\s*)?(?:beat\s*|\b)([0-9]+(?:\.[0-9]+)?)(?:\s+([0-9]+)\/([0-9]+))?\s*[:\s]\s*([A-Ga-g])(bb|##|𝄫|𝄪|x|[b♭#♯n♮]?)(-?[0-9]?)$/i;

const SHAPE = '“bar 3 beat 2 Eb”, or “3:2 Eb4” for one octave';

/**
 * Reads places with spellings, parted by semicolons or line ends: 'bar 3 beat 2 Eb; 4:1.5 F#4'. Beats may be decimal
 * or have a fraction ('2 1/3'). A mistake is answered by one sentence each.
 */
export function parseNoteFixes(text: string): Result<readonly NoteFix[], string> {
  const fixes: NoteFix[] = [];
  const wrong: string[] = [];
  for (const word of text.split(/[;\n]/).map((w) => w.trim())) {
    if (word === '') continue;
    const read = parseOne(word);
    if (typeof read === 'string') wrong.push(read);
    else fixes.push(read);
  }
  if (wrong.length > 0) return fail(...wrong);
  if (fixes.length === 0) return fail(`A spelling is fixed by its place: ${SHAPE}.`);
  return ok(fixes);
}

function parseOne(word: string): NoteFix | string {
  const match = PLACE.exec(word);
  if (match === null) return `“${word}” is no place with a spelling: write ${SHAPE}.`;
  const [, bar = '', whole = '', over, under, letter = '', sign = '', octave = ''] = match;
  const alter = SIGNS[sign.toLowerCase()];
  if (alter === undefined)
    return `“${word}”: no pedal makes a double sharp or double flat; fix a flat, a natural or a sharp.`;
  if (under !== undefined && Number(under) === 0) return `“${word}”: a fraction of a beat has no zero below.`;
  const beat = Number(whole) + (under === undefined ? 0 : Number(over) / Number(under));
  if (beat < 1) return `“${word}”: beats are counted from 1.`;
  return {
    ...{ bar, beat, alter },
    letter: letter.toUpperCase() as Letter,
    octave: octave === '' ? null : Number(octave),
  };
}

/** 'bar 3, beat 2: E♭4'. */
export const noteFixName = ({ bar, beat, letter, alter, octave }: NoteFix): string =>
  `bar ${bar}, beat ${shown(beat)}: ${spellingName(letter, alter)}${octave ?? ''}`;

const shown = (beat: number): number => Math.round(beat * 1000) / 1000;
const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

interface Sounding {
  readonly id: string;
  readonly onset: Ticks;
  readonly pitch: Pitch;
}
const notesOf = (p: Passage): Sounding[] => [
  ...p.plucks,
  ...p.trembles.flatMap((t) => t.notes.map((n) => ({ id: n.id, pitch: n.pitch, onset: t.onset }))),
];

/** The ids and spellings that one fix names; empty where nothing there sounds so. */
function named(fix: NoteFix, bars: readonly Bar[], notes: readonly Sounding[]): Map<string, Pitch> {
  const out = new Map<string, Pitch>();
  const pitchAt = (octave: number): Pitch => ({ letter: fix.letter, alter: fix.alter, octave });
  for (const bar of bars) {
    if (bar.number !== fix.bar) continue;
    for (const note of notes) {
      if (note.onset < bar.start || note.onset >= bar.start + bar.length) continue;
      const beat = 1 + (note.onset - bar.start) / countTicks(bar.metre);
      if (Math.abs(beat - fix.beat) > 0.0011) continue;
      const octave = Math.floor((midiOf(note.pitch) - midiOf(pitchAt(0))) / 12);
      const pitch = pitchAt(octave);
      if (midiOf(pitch) !== midiOf(note.pitch) || (fix.octave !== null && octave !== fix.octave)) continue;
      out.set(note.id, pitch);
    }
  }
  return out;
}

/**
 * The spelling of each note that the fixes name, by note id: in every pass of a repeated bar. A fix that names no
 * note, or two that differ about one, are answered by one sentence each.
 */
export function spellingsOfFixes(
  passage: Passage,
  fixes: readonly NoteFix[],
): Result<ReadonlyMap<string, Pitch>, string> {
  const notes = notesOf(passage);
  const out = new Map<string, Pitch>();
  const wrong: string[] = [];
  for (const fix of fixes) {
    const found = named(fix, passage.bars, notes);
    if (found.size === 0) wrong.push(missing(fix, passage.bars, notes));
    const twice = [...found].some(([id, p]) => (out.get(id) ?? p).letter !== p.letter);
    if (twice) wrong.push(`${capital(noteFixName(fix))} was fixed in another spelling before.`);
    for (const [id, pitch] of found) out.set(id, pitch);
  }
  return wrong.length > 0 ? fail(...wrong) : ok(out);
}

function missing(fix: NoteFix, bars: readonly Bar[], notes: readonly Sounding[]): string {
  const mine = bars.filter((b) => b.number === fix.bar);
  const [bar] = mine;
  if (bar === undefined) {
    const [first, last] = [bars[0]?.number, bars.at(-1)?.number];
    return first === undefined
      ? 'There are no bars.'
      : `There is no bar ${fix.bar}: bars run from ${first} to ${last}.`;
  }
  const beats = bar.length / countTicks(bar.metre);
  if (fix.beat >= beats + 1)
    return `Bar ${fix.bar} ends before beat ${shown(fix.beat)}: it has ${shown(beats)}.`;
  const there = notes.filter((n) =>
    mine.some((b) => {
      const beat = 1 + (n.onset - b.start) / countTicks(b.metre);
      return n.onset >= b.start && n.onset < b.start + b.length && Math.abs(beat - fix.beat) <= 0.0011;
    }),
  );
  const place = `bar ${fix.bar}, beat ${shown(fix.beat)}`;
  if (there.length === 0) return `Nothing is struck at ${place}.`;
  const names = [
    ...new Set(there.map((n) => `${spellingName(n.pitch.letter, n.pitch.alter)}${n.pitch.octave}`)),
  ];
  const spelt = `${spellingName(fix.letter, fix.alter)}${fix.octave ?? ''}`;
  return `No note at ${place} sounds as ${spelt}: there ${names.length === 1 ? 'is' : 'are'} ${names.join(', ')}.`;
}

/** The passage that asks for these spellings and no other, by note id; ids that it has not are passed over. */
export function withSpellingsFixed(passage: Passage, spelt: ReadonlyMap<string, Pitch>): Passage {
  const anew = <N extends { readonly id: string; readonly pitch: Pitch }>(note: N): N => {
    const pitch = spelt.get(note.id);
    return pitch === undefined || midiOf(pitch) !== midiOf(note.pitch)
      ? note
      : { ...note, pitch, fixed: true };
  };
  return {
    ...passage,
    plucks: passage.plucks.map(anew),
    trembles: passage.trembles.map((t) => ({ ...t, notes: t.notes.map(anew) })),
  };
}

/** The passage with the fixes: what a part is planned from. One sentence for each fix that names nothing. */
export function withNoteFixes(passage: Passage, fixes: readonly NoteFix[]): Result<Passage, string> {
  const spelt = spellingsOfFixes(passage, fixes);
  return spelt.ok ? ok(withSpellingsFixed(passage, spelt.value)) : spelt;
}

/** The same for music that is still to be found: a fix holds where a note sounds so, and asks for none. */
export function withNoteFixesWhere(passage: Passage, fixes: readonly NoteFix[]): Passage {
  const notes = notesOf(passage);
  const spelt = new Map(fixes.flatMap((fix) => [...named(fix, passage.bars, notes)]));
  return withSpellingsFixed(passage, spelt);
}
