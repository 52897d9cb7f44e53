// The pedal model of src/pedals/MODEL.md as a mixed-integer programme, written from that page and not from the solver:
// a binary for each letter, position and instant of a grid, a window of one move for each foot, and every price term.
// Where onsets, ends and all times of the page are whole grid steps the grid loses nothing: a plan rounds up to it,
// or, where rounding up to a stop costs more (`fine`), down to a grid instant or the tick after it.
import { PEDALS, type Position, type Setting, positionOf } from '../../src/harp/setting';
import { stringLetter, stringOf } from '../../src/harp/strings';
import { type Passage, passageEnd } from '../../src/music/passage';
import type { Letter, Pitch } from '../../src/music/pitch';
import { midiOf } from '../../src/music/pitch';
import { footRows } from './milp-feet';
import { type MilpNote, spellingRows } from './milp-spelling';
import { type Times, instantCosts, microsOf } from './milp-instants';
import { Programme } from './milp-rows';

/** Points a unit, by the page's terms; those left out are 0. */
export interface MilpRates {
  readonly move: number;
  readonly second?: number;
  readonly gesture?: number;
  readonly hasty?: number;
  readonly reach?: number;
  readonly ring?: number;
  readonly late?: number;
  readonly ahead?: number;
  readonly offBeat?: number;
  readonly busy?: number;
  readonly respelt?: number;
  readonly sharps?: number;
  readonly third?: number;
  readonly order?: number;
  readonly mixed?: number;
  readonly flip?: number;
  readonly shape?: number;
  readonly emergency?: number;
}
export interface MilpQuestion {
  readonly passage: Passage;
  readonly start: Setting | null;
  readonly end: Setting | null;
  readonly keepSpelling: boolean;
  /** Pedals left alone. */
  readonly locked?: Partial<Record<Letter, Position>>;
  readonly emergencies?: boolean;
  /** Every move stands the settling time before what next needs it. */
  readonly mustSettle?: boolean;
  readonly rates: MilpRates;
  readonly times: Times;
  /** Ticks in a grid step. */
  readonly step: number;
  /** Also the tick after each grid instant. */
  readonly fine?: boolean;
  /** Leaves time out: any number of pedals at one instant. */
  readonly timeless?: boolean;
  /** Only plans of at most this price: none, where a planner's price is not that of a plan, and quicker to solve. */
  readonly atMost?: number;
  /** Strings that no pedal reaches. */
  readonly discless: readonly number[];
}

const POSITIONS = [-1, 0, 1] as const;
const sign = (p: number): string => (p < 0 ? 'f' : p > 0 ? 's' : 'n');

/** Every string and position that sounds the pitch, strings C1 to G7. */
function spellings(midi: number): Pitch[] {
  const out: Pitch[] = [];
  for (let string = 0; string <= 46; string++) {
    for (const alter of POSITIONS) {
      const pitch: Pitch = { letter: stringLetter(string), alter, octave: Math.floor(string / 7) + 1 };
      if (midiOf(pitch) === midi) out.push(pitch);
    }
  }
  return out;
}

/** The notes with the spellings open to each. */
function notesOf(q: MilpQuestion, programme: Programme): MilpNote[] {
  const { passage } = q;
  const slid = new Set((passage.slides ?? []).map((s) => s.pluck));
  const written = [
    ...passage.plucks.map((p) => ({ ...p, until: p.onset as number, chord: `p${p.onset}`, struck: true })),
    ...passage.trembles.flatMap((t) =>
      t.notes.map((n) => ({
        ...{ ...n, onset: t.onset, until: t.onset + Math.max(1, t.duration), chord: `t${t.id}` },
        ...{ technique: 'ordinary', struck: false },
      })),
    ),
  ];
  return written.map((note, n) => {
    const fixed = q.keepSpelling || ('fixed' in note && note.fixed === true) || slid.has(note.id);
    const all = spellings(midiOf(note.pitch)).filter((s) => {
      const stays = q.locked?.[s.letter];
      return stays === undefined || stays === s.alter || q.discless.includes(stringOf(s));
    });
    const open = fixed ? all.filter((s) => s.letter === note.pitch.letter) : all;
    return {
      ...{ pitch: note.pitch, hand: note.hand, onset: note.onset, until: note.until, chord: note.chord },
      ...{ struck: note.struck, muted: note.technique === 'etouffe' },
      open: open.map((pitch) => ({ pitch, name: programme.binary(`x${n}${pitch.letter}`) })),
    };
  });
}

/** The programme in CPLEX LP text. */
export function milpText(q: MilpQuestion): string {
  const { passage, rates, step } = q;
  const programme = new Programme();
  const { rows } = programme;
  const notes = notesOf(q, programme);
  const spans = [...passage.trembles, ...passage.sweeps];
  const slides = passage.slides ?? [];
  const last = Math.max(
    passageEnd(passage),
    ...notes.map((n) => n.onset),
    ...spans.map((s) => s.onset + Math.max(1, s.duration)),
  );
  for (const at of [last, ...[...notes, ...slides].map((n) => n.onset)])
    if (at % step !== 0) throw new Error(`${at} is no grid instant`);
  const at: number[] = [];
  for (let t = 0; t <= last; t += step) at.push(t, ...(q.fine === true && t < last ? [t + 1] : []));
  const index = new Map(at.map((t, j) => [t, j]));
  const instant = (t: number): number => index.get(t) as number;

  // Letters that nothing needs stand where they stood.
  const used = new Set<Letter>(slides.map((s) => s.to.letter));
  for (const n of notes) for (const { pitch } of n.open) used.add(pitch.letter);
  for (const s of passage.sweeps)
    for (let i = Math.min(s.from, s.to); i <= Math.max(s.from, s.to); i++) used.add(stringLetter(i));
  const letters = PEDALS.filter(
    (l) =>
      used.has(l) || (q.start !== null && q.end !== null && positionOf(q.start, l) !== positionOf(q.end, l)),
  );
  const y = (letter: Letter, p: number, j: number): string => `y${letter}${sign(p)}${j + 1}`;
  const z = (letter: Letter, p: number, r: number, j: number): string => `z${letter}${sign(p)}${sign(r)}${j}`;
  const others = (p: number): readonly number[] => POSITIONS.filter((r) => r !== p);

  const costs = instantCosts(q, notes);
  for (const letter of letters) {
    for (let j = -1; j < at.length; j++) {
      rows.push(`${POSITIONS.map((p) => programme.binary(y(letter, p, j))).join(' + ')} = 1`);
      if (j < 0) continue;
      const moved = POSITIONS.flatMap((p) => others(p).map((r) => programme.binary(z(letter, p, r, j))));
      rows.push(`${moved.join(' + ')} <= 1`);
      for (const p of POSITIONS) {
        const gone = others(p).map((r) => z(letter, p, r, j));
        const come = others(p).map((r) => z(letter, r, p, j));
        rows.push(`${gone.join(' + ')} - ${y(letter, p, j - 1)} <= 0`);
        rows.push(
          `${y(letter, p, j)} - ${y(letter, p, j - 1)} - ${come.join(' - ')} + ${gone.join(' + ')} = 0`,
        );
        for (const r of others(p)) {
          const t = at[j] as number;
          const own = rates.move + (Math.abs(p - r) - 1) * (rates.second ?? 0);
          if (slides.some((s) => s.onset === t && s.to.letter === letter && s.to.alter === r)) {
            programme.cost(own, z(letter, p, r, j));
            continue;
          }
          const { anyhow, early } = costs(letter, p, r, t);
          programme.cost(own + anyhow, z(letter, p, r, j));
          // What is struck at the very instant may have waited for the move, unless the old position is struck.
          if (early === 0) continue;
          const old = notes.flatMap((n) =>
            n.struck && n.onset === t
              ? n.open.filter((s) => s.pitch.letter === letter && s.pitch.alter === p && !tuned(s.pitch))
              : [],
          );
          const waits = programme.amount(`w${letter}${sign(p)}${sign(r)}${j}`);
          programme.cost(early, waits);
          rows.push([`${waits} - ${z(letter, p, r, j)}`, ...old.map((s) => s.name)].join(' + ') + ' >= 0');
        }
      }
    }
    const stays = q.locked?.[letter];
    for (let j = -1; stays !== undefined && j < at.length; j++) rows.push(`${y(letter, stays, j)} = 1`);
    if (q.start !== null) rows.push(`${y(letter, positionOf(q.start, letter), -1)} = 1`);
    if (q.end !== null) rows.push(`${y(letter, positionOf(q.end, letter), at.length - 1)} = 1`);
  }

  function tuned(pitch: Pitch): boolean {
    return q.discless.includes(stringOf(pitch));
  }
  const known = new Set<number>();
  const tuning = (string: number, p: number): string => {
    if (!known.has(string)) {
      known.add(string);
      rows.push(`${POSITIONS.map((r) => programme.binary(`d${string}${sign(r)}`)).join(' + ')} = 1`);
    }
    return `d${string}${sign(p)}`;
  };
  // What a letter is struck in at an instant: one position, standing before or after a move of that instant.
  const struck = new Set<string>();
  const strikes = (letter: Letter, p: number, j: number): string => {
    const name = (r: number): string => `q${letter}${sign(r)}${j}`;
    if (!struck.has(`${letter}${j}`)) {
      struck.add(`${letter}${j}`);
      rows.push(`${POSITIONS.map((r) => programme.binary(name(r))).join(' + ')} = 1`);
      for (const r of POSITIONS) rows.push(`${name(r)} - ${y(letter, r, j - 1)} - ${y(letter, r, j)} <= 0`);
    }
    return name(p);
  };
  const held = (what: string, letter: Letter, p: number, from: number, until: number): void => {
    at.forEach((t, j) => {
      if (t >= from && t < until) rows.push(`${what} - ${y(letter, p, j)} <= 0`);
    });
  };
  /** What needs a letter in a position at an instant, so that its move comes before. */
  const needs: { letter: Letter; p: number; j: number; by: string; pluck: boolean }[] = [];
  for (const note of notes) {
    rows.push(`${note.open.length === 0 ? 'never' : note.open.map((s) => s.name).join(' + ')} = 1`);
    for (const { pitch, name } of note.open) {
      // Two notes of one instant share a string only where they were written on it.
      for (const other of notes) {
        if (other === note) break;
        if (other.chord !== note.chord || stringOf(other.pitch) === stringOf(note.pitch)) continue;
        const twin = other.open.find((s) => stringOf(s.pitch) === stringOf(pitch));
        if (twin !== undefined) rows.push(`${name} + ${twin.name} <= 1`);
      }
      if (tuned(pitch)) {
        rows.push(`${name} - ${tuning(stringOf(pitch), pitch.alter)} <= 0`);
        continue;
      }
      const j = instant(note.onset);
      rows.push(`${name} - ${strikes(pitch.letter, pitch.alter, j)} <= 0`);
      needs.push({ letter: pitch.letter, p: pitch.alter, j, by: name, pluck: note.struck });
      held(name, pitch.letter, pitch.alter, note.onset, note.until);
    }
  }
  passage.sweeps.forEach((sweep, i) => {
    const ways = [...new Set(sweep.settings)];
    rows.push(`${ways.map((s) => programme.binary(`u${i}o${s}`)).join(' + ')} = 1`);
    const letters = new Set<Letter>();
    for (let s = Math.min(sweep.from, sweep.to); s <= Math.max(sweep.from, sweep.to); s++) {
      const letter = stringLetter(s);
      const own = q.discless.includes(s);
      if (!own && letters.has(letter)) continue;
      if (!own) letters.add(letter);
      for (const p of POSITIONS) {
        const sum = ways.filter((w) => positionOf(w, letter) === p).map((w) => `u${i}o${w}`);
        if (sum.length === 0) continue;
        const what = sum.join(' + ');
        if (own) {
          rows.push(`${what} - ${tuning(s, p)} <= 0`);
          continue;
        }
        const j = instant(sweep.onset);
        rows.push(`${what} - ${strikes(letter, p, j)} <= 0`);
        needs.push({ letter, p, j, by: what, pluck: false });
        held(what, letter, p, sweep.onset, sweep.onset + Math.max(1, sweep.duration));
      }
    }
  });
  for (const slide of slides) {
    const pluck = passage.plucks.find((p) => p.id === slide.pluck) as Passage['plucks'][number];
    const { letter, alter } = pluck.pitch;
    const j = instant(slide.onset);
    rows.push(`${z(letter, alter, slide.to.alter, j)} = 1`);
    at.forEach((t, k) => {
      if (t >= pluck.onset && t < slide.onset) rows.push(`${y(letter, alter, k)} = 1`);
    });
    // What is struck at that instant is struck after it.
    for (const note of notes)
      for (const { pitch, name } of note.onset === slide.onset ? note.open : [])
        if (pitch.letter === letter && pitch.alter !== slide.to.alter && !tuned(pitch))
          rows.push(`${name} = 0`);
  }
  if (q.mustSettle === true) {
    const micros = microsOf(q);
    for (const { letter, p, j, by } of needs)
      at.forEach((t, i) => {
        if (i > j || micros(at[j] as number) - micros(t) >= q.times.settle) return;
        const slid = slides.some((s) => s.onset === t && s.to.letter === letter && s.to.alter === p);
        const come = slid ? [] : others(p).map((r) => z(letter, r, p, i));
        if (come.length > 0) rows.push(`${[...come, by].join(' + ')} <= 1`);
      });
  }
  const stops = new Set([...notes, ...spans, ...slides].map((s) => s.onset as number));
  const made = slides.map(({ onset, to }, i) => {
    const by = programme.binary(`slide${i}`);
    rows.push(`${by} = 1`);
    return { letter: to.letter, p: to.alter, j: instant(onset), by, pluck: false };
  });
  footRows({ q, programme, letters, at, z, needs: [...needs, ...made] });
  spellingRows({ rates, programme, notes, stops: [...stops].sort((a, b) => a - b) });
  return programme.text(q.atMost);
}
