/** An independent judge of plans: feasibility and price from the notes and moves alone, nothing from the search. */

import { type Move, type PlannedPassage, settingAt, settingStruck } from '../harp/planned';
import { type Position, type Setting, footOf, pedalIndex, positionOf, withPosition } from '../harp/setting';
import { stringLetter, stringOf } from '../harp/strings';
import type { Ticks } from '../base/units';
import type { Passage } from '../music/passage';
import { type Pitch, midiOf } from '../music/pitch';
import { tempoMap } from '../music/tempo';
import { inHarpKey } from './options';
import { priceOf } from './spending';
import type { PedalPrice, PlanOptions } from './types';

/** A rule that a plan breaks. */
export interface Fault {
  readonly code:
    | 'start'
    | 'end'
    | 'order'
    | 'foot'
    | 'from'
    | 'idle'
    | 'spacing'
    | 'settling'
    | 'notes'
    | 'pitch'
    | 'spelling'
    | 'same-string'
    | 'sounds'
    | 'clash'
    | 'range'
    | 'discless'
    | 'sweep'
    | 'held'
    | 'locked'
    | 'slide';
  /** What it concerns: a note's, sweep's or move's name. */
  readonly what: string;
}

export interface Verdict {
  readonly faults: readonly Fault[];
  readonly price: PedalPrice;
}

interface Note {
  readonly id: string;
  readonly pitch: Pitch;
  readonly fixed?: boolean;
  readonly onset: number;
}

const notesOf = (p: Passage): Note[] => [
  ...p.plucks,
  ...p.trembles.flatMap((t) => t.notes.map((n) => ({ ...n, onset: t.onset }))),
];

/** The first onset from a move on (`later`: after it) at which its pedal serves; null where none does. */
function nextNeed(planned: PlannedPassage, { letter, onset }: Move, later: boolean): Ticks | null {
  const { passage, instrument } = planned;
  const reached = (string: number): boolean =>
    stringLetter(string) === letter && !instrument.discless.includes(string);
  const needs = [
    ...passage.plucks.filter((p) => reached(stringOf(p.pitch))),
    ...passage.trembles.filter((t) => t.notes.some((n) => reached(stringOf(n.pitch)))),
    ...passage.sweeps.filter((s) => {
      const [low, high] = [Math.min(s.from, s.to), Math.max(s.from, s.to)];
      return Array.from({ length: high - low + 1 }, (_, i) => low + i).some(reached);
    }),
  ]
    .map((x) => x.onset)
    .filter((at) => (later ? at > onset : at >= onset));
  return needs.length === 0 ? null : needs.reduce((a, b) => (b < a ? b : a));
}

/** Judges a plan of `asked` under `options`. No faults means: every rule of MODEL.md holds. */
export function validatePlan(given: Passage, planned: PlannedPassage, options: PlanOptions): Verdict {
  const asked = options.fifths === undefined ? given : inHarpKey(given, options.fifths);
  const faults: Fault[] = [];
  const fault = (code: Fault['code'], what: string): void => {
    faults.push({ code, what });
  };
  const time = tempoMap(asked.tempo);
  const { moves, instrument, tuning } = planned;

  const slides = ({ onset, letter, to }: Move): boolean =>
    (asked.slides ?? []).some((s) => s.onset === onset && s.to.letter === letter && s.to.alter === to);
  /** -1 for a move that must come before what is plucked at its instant, 1 for one that must come after. */
  const sideOf = (move: Move): number => {
    const { onset, letter, to, from } = move;
    if (slides(move)) return -1;
    const struck = planned.passage.plucks.filter(
      (p) =>
        p.onset === onset && p.pitch.letter === letter && !instrument.discless.includes(stringOf(p.pitch)),
    );
    if (struck.some((p) => p.pitch.alter === to)) return -1;
    return struck.some((p) => p.pitch.alter === from) ? 1 : 0;
  };
  if (options.start !== null && planned.start !== options.start) fault('start', String(planned.start));
  let setting: Setting = planned.start;
  const lastOf = new Map<string, (typeof moves)[number]>();
  moves.forEach((move, i) => {
    const name = `${move.letter} at ${move.onset}`;
    const before = moves[i - 1];
    if (move.onset < 0 || (before !== undefined && before.onset > move.onset)) fault('order', name);
    const reached = move.letter === 'E' || move.letter === 'B';
    if (footOf(move.letter) !== move.foot && !(options.emergencies === true && reached)) fault('foot', name);
    if (positionOf(setting, move.letter) !== move.from) fault('from', name);
    if (move.from === move.to) fault('idle', name);
    const prior = lastOf.get(move.foot);
    if (prior !== undefined) {
      const gap = time.microsAt(move.onset) - time.microsAt(prior.onset);
      // Two neighbours by their own foot in one motion, and no third.
      const third = moves[i - 2]?.foot === move.foot && moves[i - 2]?.onset === move.onset;
      const double =
        options.emergencies === true &&
        gap === 0 &&
        !third &&
        Math.abs(pedalIndex(move.letter) - pedalIndex(prior.letter)) === 1 &&
        footOf(prior.letter) === footOf(move.letter) &&
        sideOf(prior) * sideOf(move) >= 0;
      const least = Math.min(250_000, options.times.neighbour, options.times.reach);
      if (!double && gap < Math.max(1, least, options.mustSettle === true ? options.times.settle : 0))
        fault('spacing', name);
    }
    lastOf.set(move.foot, move);
    setting = withPosition(setting, move.letter, move.to);
  });
  if (options.mustSettle === true) {
    for (const move of moves) {
      const { onset, letter } = move;
      const need = nextNeed(planned, move, sideOf(move) > 0);
      if (slides(move) || need === null) continue;
      if (time.microsAt(need) - time.microsAt(onset) < options.times.settle)
        fault('settling', `${letter} at ${onset}`);
    }
  }
  for (const [letter, position] of Object.entries(options.locked ?? {})) {
    const moved = moves.some((m) => m.letter === letter);
    if (moved || positionOf(setting, letter as Pitch['letter']) !== position) fault('locked', letter);
  }
  if (options.end !== null && setting !== options.end) fault('end', String(setting));

  const before = new Map(notesOf(asked).map((n) => [n.id, n]));
  const after = notesOf(planned.passage);
  if (before.size !== after.length || planned.passage.sweeps.length !== asked.sweeps.length)
    fault('notes', 'count');
  const tuned = (string: number): Position | undefined =>
    instrument.discless.includes(string) ? (tuning[string] ?? instrument.disclessDefault) : undefined;
  const heldFrom = (letter: Pitch['letter'], alter: number, onset: number, end: number, id: string): void => {
    // Right at the start, and not moved before the end.
    if (positionOf(settingAt(planned, onset as Passage['plucks'][number]['onset']), letter) !== alter)
      fault('sounds', id);
    if (moves.some((m) => m.letter === letter && m.onset > onset && m.onset < end)) fault('held', id);
  };
  const ends = new Map(
    planned.passage.trembles.flatMap((t) => t.notes.map((n) => [n.id, t.onset + Math.max(1, t.duration)])),
  );
  const stringsAt = new Map<string, Note>();
  const standsAt = new Map<string, number>();
  for (const note of after) {
    const old = before.get(note.id);
    if (old === undefined || old.onset !== note.onset) {
      fault('notes', note.id);
      continue;
    }
    const [was, is] = [old.pitch, note.pitch];
    if (midiOf(was) !== midiOf(is)) fault('pitch', note.id);
    const changed = was.letter !== is.letter || was.alter !== is.alter;
    if (changed && (options.keepSpelling || old.fixed === true) && Math.abs(was.alter) <= 1)
      fault('spelling', note.id);
    const string = stringOf(is);
    if (Math.abs(is.alter) > 1 || string < instrument.lowest || string > instrument.highest)
      fault('range', note.id);
    // Two notes may share a string only where they were written on it, or have no other.
    const twin = stringsAt.get(`${note.onset}/${ends.has(note.id)}/${string}`);
    if (twin !== undefined) {
      const wrote = before.get(twin.id) as Note;
      const plain = Math.abs(wrote.pitch.alter) <= 1 && Math.abs(was.alter) <= 1;
      if (plain && stringOf(wrote.pitch) !== stringOf(was)) fault('same-string', note.id);
    }
    stringsAt.set(`${note.onset}/${ends.has(note.id)}/${string}`, note);
    const own = tuned(string);
    if (own !== undefined) {
      if (own !== is.alter) fault('discless', note.id);
      continue;
    }
    // One letter stands one way for all that is struck at one instant, also where its pedal moves at that instant.
    const clash = standsAt.get(`${note.onset}/${is.letter}`);
    if (clash !== undefined && clash !== is.alter) fault('clash', note.id);
    standsAt.set(`${note.onset}/${is.letter}`, is.alter);
    const end = ends.get(note.id);
    if (end !== undefined) heldFrom(is.letter, is.alter, note.onset, end, note.id);
    else {
      const at = note.onset as Passage['plucks'][number]['onset'];
      if (positionOf(settingStruck(planned, at, is), is.letter) !== is.alter) fault('sounds', note.id);
    }
  }
  for (const slide of asked.slides ?? []) {
    const pluck = after.find((n) => n.id === slide.pluck);
    const slid = moves.some(
      (m) => m.letter === slide.to.letter && m.onset === slide.onset && m.to === slide.to.alter,
    );
    const dodged = pluck === undefined || pluck.pitch.letter !== slide.to.letter;
    const held = !moves.some(
      (m) =>
        m.letter === slide.to.letter && pluck !== undefined && m.onset > pluck.onset && m.onset < slide.onset,
    );
    const struck = standsAt.get(`${slide.onset}/${slide.to.letter}`);
    if (struck !== undefined && struck !== slide.to.alter) fault('clash', slide.id);
    if (dodged || !slid || !held) fault('slide', slide.id);
  }
  for (const sweep of planned.passage.sweeps) {
    const end = sweep.onset + Math.max(1, sweep.duration);
    const [low, high] = [Math.min(sweep.from, sweep.to), Math.max(sweep.from, sweep.to)];
    const standing = settingAt(planned, sweep.onset);
    const strings = Array.from({ length: high - low + 1 }, (_, i) => low + i).filter(
      (s) => s >= instrument.lowest && s <= instrument.highest,
    );
    const sounds = (wanted: Setting): boolean =>
      strings.every(
        (s) => (tuned(s) ?? positionOf(standing, stringLetter(s))) === positionOf(wanted, stringLetter(s)),
      );
    if (!sweep.settings.some(sounds)) fault('sweep', sweep.id);
    for (const string of strings) {
      const letter = stringLetter(string);
      if (tuned(string) !== undefined) continue;
      const struck = standsAt.get(`${sweep.onset}/${letter}`);
      if (struck !== undefined && struck !== positionOf(standing, letter)) fault('clash', sweep.id);
      heldFrom(letter, positionOf(standing, letter), sweep.onset, end, sweep.id);
    }
  }
  return { faults, price: priceOf(given, planned, options) };
}
