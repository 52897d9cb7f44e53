// The pedal model of src/pedals/MODEL.md as a mixed-integer programme, written from that page and not from the
// solver: one binary per letter, position and grid instant, flows between them, a window of one move for each foot.
// Exact where onsets, ends and the least time of a foot are whole grid steps: any plan rounds up to such a plan.
import { PEDALS, type Position, type Setting, positionOf } from '../../src/harp/setting';
import { stringLetter, stringOf } from '../../src/harp/strings';
import { type Passage, passageEnd } from '../../src/music/passage';
import { type Letter, type Pitch, midiOf } from '../../src/music/pitch';

export interface MilpRates {
  readonly move: number;
  readonly second: number;
  readonly respelt: number;
}
export interface MilpQuestion {
  readonly passage: Passage;
  readonly start: Setting | null;
  readonly end: Setting | null;
  readonly keepSpelling: boolean;
  /** Pedals left alone. */
  readonly locked?: Partial<Record<Letter, Position>>;
  readonly rates: MilpRates;
  /** Ticks in a grid step. */
  readonly step: number;
  /** Grid steps between two instants of a foot; 0 leaves time out. */
  readonly gap: number;
  /** Strings that no pedal reaches. */
  readonly discless: readonly number[];
}

const POSITIONS = [-1, 0, 1] as const;
const LEFT = 'DCB';
const sign = (p: number): string => (p < 0 ? 'f' : p > 0 ? 's' : 'n');

interface Written {
  readonly id: string;
  readonly pitch: Pitch;
  readonly fixed?: boolean;
  readonly from: number;
  /** First grid step at which its pedal may move again: for a pluck its own, after it was struck. */
  readonly until: number;
  readonly chord: string;
}

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

/** The programme in CPLEX LP text. */
export function milpText(q: MilpQuestion): string {
  const { passage, rates, step, gap } = q;
  const at = (ticks: number): number => {
    if (ticks % step !== 0) throw new Error(`${ticks} is no grid instant`);
    return ticks / step;
  };
  const notes: Written[] = [
    ...passage.plucks.map((p) => ({ ...p, from: at(p.onset), until: at(p.onset), chord: `p${p.onset}` })),
    ...passage.trembles.flatMap((t) =>
      t.notes.map((n) => ({
        ...n,
        from: at(t.onset),
        until: at(t.onset + t.duration),
        chord: `t${t.id}`,
      })),
    ),
  ];
  const last = Math.max(
    at(passageEnd(passage)),
    ...notes.map((n) => n.until),
    ...passage.sweeps.map((s) => at(s.onset + s.duration)),
  );
  const rows: string[] = [];
  const binaries: string[] = [];
  const cost: string[] = [];
  const binary = (name: string): string => {
    binaries.push(name);
    return name;
  };
  const y = (letter: Letter, p: number, j: number): string => `y${letter}${sign(p)}${j + 1}`;
  const z = (letter: Letter, p: number, r: number, j: number): string =>
    `z${letter}${sign(p)}${sign(r)}${j + 1}`;

  for (const letter of PEDALS) {
    for (let j = -1; j <= last; j++) {
      rows.push(`${POSITIONS.map((p) => binary(y(letter, p, j))).join(' + ')} = 1`);
      if (j < 0) continue;
      for (const p of POSITIONS) {
        rows.push(`${POSITIONS.map((r) => z(letter, p, r, j)).join(' + ')} - ${y(letter, p, j - 1)} = 0`);
        rows.push(`${POSITIONS.map((r) => z(letter, r, p, j)).join(' + ')} - ${y(letter, p, j)} = 0`);
        for (const r of POSITIONS) {
          if (p === r) continue;
          const price = rates.move + (Math.abs(p - r) - 1) * rates.second;
          if (price > 0) cost.push(`${price} ${z(letter, p, r, j)}`);
        }
      }
    }
    const stays = q.locked?.[letter];
    for (let j = -1; stays !== undefined && j <= last; j++) rows.push(`${y(letter, stays, j)} = 1`);
    if (q.start !== null) rows.push(`${y(letter, positionOf(q.start, letter), -1)} = 1`);
    if (q.end !== null) rows.push(`${y(letter, positionOf(q.end, letter), last)} = 1`);
  }
  const movesAt = (letter: Letter, j: number): string[] =>
    POSITIONS.flatMap((p) => POSITIONS.filter((r) => r !== p).map((r) => z(letter, p, r, j)));
  for (const left of gap === 0 ? [] : [true, false]) {
    const letters = PEDALS.filter((l) => LEFT.includes(l) === left);
    for (let j = 0; j <= last; j++) {
      const window = Array.from({ length: Math.min(gap, last - j + 1) }, (_, i) => j + i);
      rows.push(`${window.flatMap((i) => letters.flatMap((l) => movesAt(l, i))).join(' + ')} <= 1`);
    }
  }
  const tuned = new Set<number>();
  const tuning = (string: number, p: number): string => {
    if (!tuned.has(string)) {
      tuned.add(string);
      rows.push(`${POSITIONS.map((r) => binary(`d${string}${sign(r)}`)).join(' + ')} = 1`);
    }
    return `d${string}${sign(p)}`;
  };
  // What a letter is struck in at an instant: one position, standing before or after a move of that instant.
  const struck = new Set<string>();
  const strikes = (letter: Letter, p: number, j: number): string => {
    const name = (r: number): string => `q${letter}${sign(r)}${j}`;
    if (!struck.has(`${letter}${j}`)) {
      struck.add(`${letter}${j}`);
      rows.push(`${POSITIONS.map((r) => binary(name(r))).join(' + ')} = 1`);
      for (const r of POSITIONS) rows.push(`${name(r)} - ${y(letter, r, j - 1)} - ${y(letter, r, j)} <= 0`);
    }
    return name(p);
  };
  const open = notes.map((note, n) => {
    const all = spellings(midiOf(note.pitch));
    const fixed = (q.keepSpelling || note.fixed === true) && Math.abs(note.pitch.alter) <= 1;
    const mine = fixed ? all.filter((s) => s.letter === note.pitch.letter) : all;
    return mine.map((pitch) => ({ pitch, name: binary(`x${n}${pitch.letter}`) }));
  });
  notes.forEach((note, n) => {
    const mine = open[n] as (typeof open)[number];
    rows.push(`${mine.length === 0 ? 'never' : mine.map((s) => s.name).join(' + ')} = 1`);
    for (const { pitch, name } of mine) {
      const string = stringOf(pitch);
      if (pitch.letter !== note.pitch.letter && rates.respelt > 0) cost.push(`${rates.respelt} ${name}`);
      // Two notes of one instant share a string only where they were written on it.
      notes.forEach((other, m) => {
        if (m >= n || other.chord !== note.chord || stringOf(other.pitch) === stringOf(note.pitch)) return;
        const twin = (open[m] as typeof mine).find((s) => stringOf(s.pitch) === string);
        if (twin !== undefined) rows.push(`${name} + ${twin.name} <= 1`);
      });
      if (q.discless.includes(string)) {
        rows.push(`${name} - ${tuning(string, pitch.alter)} <= 0`);
        continue;
      }
      rows.push(`${name} - ${strikes(pitch.letter, pitch.alter, note.from)} <= 0`);
      if (note.until === note.from) continue;
      for (let j = note.from; j < note.until; j++)
        rows.push(`${name} - ${y(pitch.letter, pitch.alter, j)} <= 0`);
    }
  });
  passage.sweeps.forEach((sweep, i) => {
    const ways = [...new Set(sweep.settings)];
    rows.push(`${ways.map((s) => binary(`u${i}o${s}`)).join(' + ')} = 1`);
    for (let string = Math.min(sweep.from, sweep.to); string <= Math.max(sweep.from, sweep.to); string++) {
      const letter = stringLetter(string);
      for (const p of POSITIONS) {
        const sum = ways.filter((s) => positionOf(s, letter) === p).map((s) => `u${i}o${s}`);
        if (sum.length === 0) continue;
        if (q.discless.includes(string)) {
          rows.push(`${sum.join(' + ')} - ${tuning(string, p)} <= 0`);
          continue;
        }
        rows.push(`${sum.join(' + ')} - ${strikes(letter, p, at(sweep.onset))} <= 0`);
        for (let j = at(sweep.onset); j < at(sweep.onset + sweep.duration); j++)
          rows.push(`${sum.join(' + ')} - ${y(letter, p, j)} <= 0`);
      }
    }
  });
  return [
    'Minimize',
    ` price: ${cost.length === 0 ? '0 never' : cost.join('\n + ')}`,
    'Subject To',
    ...rows.map((row, i) => ` r${i}: ${row}`),
    'Bounds',
    ' never = 0',
    'Binaries',
    ...binaries.map((b) => ` ${b}`),
    'End',
  ].join('\n');
}
