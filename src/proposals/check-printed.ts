/** A part without pedal marks: the pedal plan that its own spelling asks for, and the notes for which there is none. */

import type { Problem } from '../base/problem';
import type { Ticks } from '../base/units';
import type { Instrument } from '../harp/instrument';
import type { PlannedPassage } from '../harp/planned';
import { keySetting } from '../harp/setting';
import { stringName, stringOf } from '../harp/strings';
import type { Passage } from '../music/passage';
import {
  LETTERS,
  type Letter,
  type Pitch,
  diatonicIndex,
  harpSpellings,
  midiOf,
  pitchName,
} from '../music/pitch';
import { tempoMap } from '../music/tempo';
import { type Change, scheduleFeet } from './check-feet';
import { type Need, isPedalled, needsOf, openingFor, tuningOf } from './check-needs';

interface Note {
  readonly id: string;
  readonly pitch: Pitch;
  readonly onset: Ticks;
}

const SOURCE = 'Berlioz, Grand traité d’instrumentation (1844/55), p. 88';

function notesByOnset(passage: Passage): Note[][] {
  const groups = new Map<Ticks, Note[]>();
  const add = (note: Note): void => {
    const list = groups.get(note.onset);
    if (list === undefined) groups.set(note.onset, [note]);
    else list.push(note);
  };
  for (const p of passage.plucks) add(p);
  for (const t of passage.trembles)
    for (const n of t.notes) add({ id: n.id, pitch: n.pitch, onset: t.onset });
  return [...groups].sort(([a], [b]) => a - b).map(([, notes]) => notes);
}

/** Where each letter stands as notes are spelt one onset after another. */
type Standing = Partial<Record<Letter, number>>;

/** The inflection that a letter written in two keeps: the one that stands, else the one of most notes, else the lower. */
function kept(alters: ReadonlyMap<number, number>, standing: number | undefined): number {
  if (standing !== undefined && alters.has(standing)) return standing;
  const [best] = [...alters].sort(([a, m], [b, n]) => n - m || a - b);
  return best === undefined ? 0 : best[0];
}

/** Whether every letter is written in one inflection at most, and none doubly altered. */
const isPlain = (notes: readonly Note[], instrument: Instrument): boolean =>
  notes.every(
    ({ pitch: a }, i) =>
      Math.abs(a.alter) <= 1 &&
      notes.every(
        ({ pitch: b }, k) =>
          k <= i ||
          a.letter !== b.letter ||
          a.alter === b.alter ||
          !isPedalled(a, instrument) ||
          !isPedalled(b, instrument),
      ),
  );

/**
 * Spelling for the notes of one onset that cannot be set as printed: doubly altered, or on a letter that is
 * written in two inflections. A homophone on a letter that is free or already stands so; null where there is none.
 */
function settle(
  notes: readonly Note[],
  standing: Standing,
  instrument: Instrument,
): Map<string, Pitch | null> {
  const out = new Map<string, Pitch | null>();
  if (isPlain(notes, instrument)) {
    for (const { pitch } of notes) if (isPedalled(pitch, instrument)) standing[pitch.letter] = pitch.alter;
    return out;
  }
  const used: Standing = {};
  const loose: Note[] = notes.filter((n) => Math.abs(n.pitch.alter) > 1);
  for (const letter of LETTERS) {
    const mine = notes.filter((n) => n.pitch.letter === letter && isPedalled(n.pitch, instrument));
    if (mine.length === 0) continue;
    const alters = new Map<number, number>();
    for (const n of mine) alters.set(n.pitch.alter, (alters.get(n.pitch.alter) ?? 0) + 1);
    const keeps = kept(alters, standing[letter]);
    used[letter] = keeps;
    loose.push(...mine.filter((n) => n.pitch.alter !== keeps));
  }
  for (const note of loose) {
    const open = harpSpellings(midiOf(note.pitch)).filter((p) => {
      const string = stringOf(p);
      if (string < instrument.lowest || string > instrument.highest || !isPedalled(p, instrument))
        return false;
      return used[p.letter] === undefined || used[p.letter] === p.alter;
    });
    const ready = open.find((p) => used[p.letter] === p.alter || standing[p.letter] === p.alter);
    const pitch = ready ?? open[0] ?? null;
    out.set(note.id, pitch);
    if (pitch !== null) used[pitch.letter] = pitch.alter;
  }
  Object.assign(standing, used);
  return out;
}

/** One remark for the notes of one onset that change one name for another, in whatever octaves. */
function respeltProblems(notes: readonly { readonly note: Note; readonly pitch: Pitch }[]): Problem[] {
  const groups = new Map<string, { readonly note: Note; readonly pitch: Pitch }[]>();
  for (const x of notes) {
    const key = `${x.note.pitch.letter}${x.note.pitch.alter} ${x.pitch.letter}${x.pitch.alter}`;
    const list = groups.get(key);
    if (list === undefined) groups.set(key, [x]);
    else list.push(x);
  }
  return [...groups.values()].map((group) => {
    const { note } = group[0] as (typeof group)[number];
    return {
      code: 'respelt',
      severity: 'warning',
      where: { kind: 'music', onset: note.onset, ids: group.map((x) => x.note.id) },
      value: group.map((x) => pitchName(x.note.pitch)).join(' and '),
      limit: group.map((x) => pitchName(x.pitch)).join(' and '),
      source: SOURCE,
      detail: { kind: Math.abs(note.pitch.alter) > 1 ? 'double' : 'clash', notes: group.length },
    };
  });
}

/** A doubly altered note that no string can give: beyond the compass, or each string of its pitch needed otherwise. */
function stringless(note: Note, others: readonly Note[], instrument: Instrument): Problem {
  const open = harpSpellings(midiOf(note.pitch)).filter((p) => {
    const string = stringOf(p);
    return string >= instrument.lowest && string <= instrument.highest;
  });
  const where = { kind: 'music', onset: note.onset, ids: [note.id] } as const;
  const value = pitchName(note.pitch);
  if (open.length === 0) {
    const limit = `${stringName(instrument.lowest)}–${stringName(instrument.highest)}`;
    return { code: 'range', severity: 'error', where, value, limit, source: instrument.source };
  }
  const rivals = others.filter((n) => n !== note && open.some((p) => p.letter === n.pitch.letter));
  return {
    code: 'clash',
    severity: 'error',
    where: { ...where, ids: [note.id, ...rivals.map((n) => n.id)] },
    value: [value, ...new Set(rivals.map((n) => pitchName(n.pitch)))].join(' and '),
    limit: 'one inflection of each letter at a time',
    source: 'Berlioz, Grand traité d’instrumentation (1844/55), p. 85',
    detail: { kind: 'letter', letter: note.pitch.letter },
  };
}

const respelled = (passage: Passage, spelt: ReadonlyMap<string, Pitch | null>): Passage => {
  if (spelt.size === 0) return passage;
  const anew = <N extends { readonly id: string; readonly pitch: Pitch }>(note: N): N[] => {
    const pitch = spelt.get(note.id);
    return pitch === undefined ? [note] : pitch === null ? [] : [{ ...note, pitch }];
  };
  const plucks = passage.plucks.flatMap(anew);
  plucks.sort((a, b) => a.onset - b.onset || diatonicIndex(a.pitch) - diatonicIndex(b.pitch));
  const trembles = passage.trembles
    .map((t) => ({ ...t, notes: t.notes.flatMap(anew) }))
    .filter((t) => t.notes.length > 0);
  const left = new Set(plucks.map((p) => p.id));
  const rolls = passage.rolls.map((r) => ({ ...r, plucks: r.plucks.filter((id) => left.has(id)) }));
  return { ...passage, plucks, trembles, rolls };
};

/** The changes that needs of one letter ask for, each with its window. */
function changesOf(needs: readonly Need[]): Change[] {
  const out: Change[] = [];
  for (let i = 1; i < needs.length; i++) {
    const [a, b] = [needs[i - 1] as Need, needs[i] as Need];
    if (a.alter === b.alter) continue;
    const earliest = Math.min(a.end, b.onset) as Ticks;
    out.push({ letter: b.letter, from: a.alter, to: b.alter, earliest, latest: b.onset });
  }
  return out;
}

export interface PrintedPlan {
  readonly planned: PlannedPassage;
  /** Notes that a homophone stands in for. */
  readonly problems: readonly Problem[];
}

/**
 * The plan that the printed spelling asks for. Which pedal goes where is settled by the notes; only the instants are
 * chosen, and where the feet have no time the plan shows it (the rule of pedal times says so). Notes that cannot be
 * set as printed are played on another string where there is one, and left out where there is none: the rule of
 * clashes, asked of the passage as printed, names them. Linear in the length of the part but for sorting.
 */
export function planAsPrinted(printed: Passage, instrument: Instrument): PrintedPlan {
  const spelt = new Map<string, Pitch | null>();
  const standing: Standing = {};
  const problems: Problem[] = [];
  for (const notes of notesByOnset(printed)) {
    const anew: { readonly note: Note; readonly pitch: Pitch }[] = [];
    for (const [id, pitch] of settle(notes, standing, instrument)) {
      spelt.set(id, pitch);
      const note = notes.find((n) => n.id === id) as Note;
      if (pitch !== null) anew.push({ note, pitch });
      // A clash is named by its own rule; a doubly altered note without a string is named here.
      else if (Math.abs(note.pitch.alter) > 1) problems.push(stringless(note, notes, instrument));
    }
    problems.push(...respeltProblems(anew));
  }
  const passage = respelled(printed, spelt);
  const needs = needsOf(passage, instrument);
  const changes = LETTERS.flatMap((letter) => changesOf(needs[letter]));
  const map = tempoMap(passage.tempo);
  const times = new Map<number, ReturnType<typeof map.microsAt>>();
  const microsAt: typeof map.microsAt = (at) => {
    let time = times.get(at);
    if (time === undefined) times.set(at, (time = map.microsAt(at)));
    return time;
  };
  const moves = scheduleFeet(changes, { microsAt, ticksAt: map.ticksAt }, passage.bars);
  const start = openingFor(needs, keySetting(passage.fifths));
  return {
    planned: { passage, instrument, start, moves, tuning: tuningOf(passage, instrument) },
    problems,
  };
}
