// What a spelling costs the reader, the string and the hand: written from the page's paragraph on reading.
import { stringOf } from '../../src/harp/strings';
import type { Hand } from '../../src/music/passage';
import { LETTERS, type Pitch, letterIndex, midiOf } from '../../src/music/pitch';
import type { MilpRates } from './milp';
import type { Programme } from './milp-rows';

export interface MilpNote {
  readonly pitch: Pitch;
  readonly hand: Hand | null;
  readonly onset: number;
  /** From when its pedal may move again, and it rings: its onset, or the end of a tremble. */
  readonly until: number;
  readonly chord: string;
  /** Plucked, not trembled. */
  readonly struck: boolean;
  readonly muted: boolean;
  readonly open: readonly { readonly pitch: Pitch; readonly name: string }[];
}

const pc = (p: Pitch): number => ((midiOf(p) % 12) + 12) % 12;

/** Two pitches that sound a third or a sixth and are not written as one. */
function hidden(a: Pitch, b: Pitch): boolean {
  const semitones = (pc(b) - pc(a) + 12) % 12;
  const steps = (letterIndex(b.letter) - letterIndex(a.letter) + 7) % 7;
  if (semitones === 3 || semitones === 4) return steps !== 2;
  return (semitones === 8 || semitones === 9) && steps !== 5;
}

export function spellingRows(task: {
  readonly rates: MilpRates;
  readonly programme: Programme;
  readonly notes: readonly MilpNote[];
  readonly stops: readonly number[];
}): void {
  const { rates, programme, notes, stops } = task;
  const { rows } = programme;
  for (const n of notes)
    for (const { pitch, name } of n.open) {
      if (pitch.letter !== n.pitch.letter) programme.cost(rates.respelt ?? 0, name);
      if (pitch.alter === 1 && [1, 3, 6, 8, 10].includes(pc(pitch))) programme.cost(rates.sharps ?? 0, name);
    }
  /** 0 or 1 at the least: whether any of these is chosen. */
  const any = (names: readonly string[]): string => {
    const amount = programme.amount();
    for (const name of names) rows.push(`${amount} - ${name} >= 0`);
    return amount;
  };
  const both = (points: number, a: string, b: string): void => {
    const amount = programme.amount();
    programme.cost(points, amount);
    rows.push(`${amount} - ${a} - ${b} >= -1`);
  };
  const chords = new Map<string, MilpNote[]>();
  for (const n of notes) chords.set(n.chord, [...(chords.get(n.chord) ?? []), n]);
  for (const chord of chords.values()) {
    const open = chord.flatMap((n) => n.open);
    if ((rates.third ?? 0) > 0) {
      const byName = new Map<string, { pitch: Pitch; names: string[] }>();
      for (const { pitch, name } of open) {
        const key = `${pitch.letter}${pitch.alter}`;
        byName.set(key, { pitch, names: [...(byName.get(key)?.names ?? []), name] });
      }
      const distinct = [...byName.values()].map((d) => ({ ...d, chosen: any(d.names) }));
      distinct.forEach((a, i) => {
        for (const b of distinct.slice(i + 1))
          if (hidden(a.pitch, b.pitch)) both(rates.third as number, a.chosen, b.chosen);
      });
    }
    if ((rates.order ?? 0) > 0) {
      const keys = [...new Set(chord.map((n) => midiOf(n.pitch)))].sort((a, b) => a - b);
      keys.slice(1).forEach((high, i) => {
        const falls = programme.amount();
        programme.cost(rates.order as number, falls);
        for (const a of chord.filter((n) => midiOf(n.pitch) === keys[i]))
          for (const b of chord.filter((n) => midiOf(n.pitch) === high))
            for (const x of a.open)
              for (const y of b.open)
                if (stringOf(x.pitch) >= stringOf(y.pitch))
                  rows.push(`${falls} - ${x.name} - ${y.name} >= -1`);
      });
    }
    if ((rates.mixed ?? 0) > 0) {
      const signed = (s: number): string[] => open.filter((o) => o.pitch.alter === s).map((o) => o.name);
      both(rates.mixed as number, any(signed(-1)), any(signed(1)));
    }
    for (const hand of (rates.shape ?? 0) > 0 ? (['R', 'L'] as const) : []) {
      const own = chord.filter((n) => n.hand === hand);
      const asked = own.map((n) => stringOf(n.pitch));
      const allowed = Math.max(7, Math.max(...asked) - Math.min(...asked));
      const over = programme.amount();
      programme.cost(rates.shape as number, over);
      for (const a of own)
        for (const b of own) {
          if (a === b) continue;
          const up = a.open.map((s) => `- ${stringOf(s.pitch)} ${s.name}`).join(' ');
          const down = b.open.map((s) => `+ ${stringOf(s.pitch)} ${s.name}`).join(' ');
          rows.push(`${over} ${up} ${down} >= -${allowed}`);
        }
    }
  }
  if ((rates.flip ?? 0) === 0) return;
  // Of plucks at two stops running: a letter at the second that was not at the first, where the pitch class was.
  stops.forEach((onset, i) => {
    const before = notes.filter((n) => n.struck && n.onset === stops[i - 1]);
    const now = notes.filter((n) => n.struck && n.onset === onset);
    for (let c = 0; c < 12; c++) {
      const [then, here] = [before, now].map((list) => list.filter((n) => pc(n.pitch) === c));
      if (then === undefined || here === undefined || then.length === 0 || here.length === 0) continue;
      const flipped = programme.amount();
      programme.cost(rates.flip as number, flipped);
      for (const letter of LETTERS) {
        const names = (list: readonly MilpNote[]): string[] =>
          list.flatMap((n) => n.open.filter((s) => s.pitch.letter === letter).map((s) => s.name));
        for (const name of names(here))
          rows.push([`${flipped} - ${name}`, ...names(then)].join(' + ') + ' >= 0');
      }
    }
  });
}
