/** What a part asks of each pedal, in order of time: notes, the notes of trembles, and the strings of glissandi. */

import type { Ticks } from '../base/units';
import { ticks } from '../base/units';
import type { Instrument } from '../harp/instrument';
import { PEDALS, type Position, type Setting, positionOf } from '../harp/setting';
import { stringLetter, stringOf } from '../harp/strings';
import type { Passage, Sweep } from '../music/passage';
import { LETTERS, type Letter, type Pitch } from '../music/pitch';

/** One position of one pedal, wanted from `onset` to `end` (the same for what is plucked). */
export interface Need {
  readonly onset: Ticks;
  readonly end: Ticks;
  readonly letter: Letter;
  readonly alter: Position;
  readonly ids: readonly string[];
}
export type Needs = Readonly<Record<Letter, readonly Need[]>>;

/** Letters that a sweep touches, discless strings left out. */
export function sweptLetters(sweep: Sweep, instrument: Instrument): Letter[] {
  const [low, high] = [Math.min(sweep.from, sweep.to), Math.max(sweep.from, sweep.to)];
  return LETTERS.filter((letter) => {
    for (let s = low; s <= high; s++) {
      if (stringLetter(s) === letter && !instrument.discless.includes(s)) return true;
    }
    return false;
  });
}

/** Notes that a pedal decides: on a string with discs, and no further than a pedal goes. */
export const isPedalled = (pitch: Pitch, instrument: Instrument): boolean =>
  Math.abs(pitch.alter) <= 1 && !instrument.discless.includes(stringOf(pitch));

type NeedLists = Record<Letter, Need[]>;
const emptyLists = (): NeedLists =>
  Object.fromEntries(LETTERS.map((letter) => [letter, [] as Need[]])) as unknown as NeedLists;

/** Joins needs of one instant and one position, and sorts. */
function joined(list: readonly Need[]): Need[] {
  const sorted = [...list].sort((a, b) => a.onset - b.onset || a.alter - b.alter);
  const out: Need[] = [];
  for (const need of sorted) {
    const last = out.at(-1);
    if (last !== undefined && last.onset === need.onset && last.alter === need.alter) {
      out[out.length - 1] = {
        ...last,
        end: ticks(Math.max(last.end, need.end)),
        ids: [...last.ids, ...need.ids],
      };
    } else out.push(need);
  }
  return out;
}

/** What the notes of a passage ask, glissandi left out. */
export function noteNeeds(passage: Passage, instrument: Instrument): NeedLists {
  const lists = emptyLists();
  const add = (id: string, pitch: Pitch, onset: Ticks, end: Ticks): void => {
    if (!isPedalled(pitch, instrument)) return;
    lists[pitch.letter].push({ onset, end, letter: pitch.letter, alter: pitch.alter as Position, ids: [id] });
  };
  for (const p of passage.plucks) add(p.id, p.pitch, p.onset, p.onset);
  for (const t of passage.trembles) {
    for (const n of t.notes) add(n.id, n.pitch, t.onset, ticks(t.onset + t.duration));
  }
  for (const letter of LETTERS) lists[letter] = joined(lists[letter]);
  return lists;
}

/** The index of the first need that begins at a tick or later; the length where there is none. */
export function needIndex(list: readonly Need[], at: number): number {
  let [low, high] = [0, list.length];
  while (low < high) {
    const mid = (low + high) >> 1;
    if ((list[mid] as Need).onset < at) low = mid + 1;
    else high = mid;
  }
  return low;
}

/** The last need that begins before a tick, or undefined. */
export const needBefore = (list: readonly Need[], at: number): Need | undefined =>
  list[needIndex(list, at) - 1];

/** The first need that begins at a tick or later, or undefined. */
export const needFrom = (list: readonly Need[], at: number): Need | undefined => list[needIndex(list, at)];

/**
 * The setting of a sweep that asks least of the feet: fewest pedals that stand otherwise in the notes before and
 * after it, and none that a note struck meanwhile contradicts. The first of equals.
 */
function chooseSetting(sweep: Sweep, letters: readonly Letter[], lists: NeedLists): Setting | null {
  const end = sweep.onset + sweep.duration;
  let best: { readonly setting: Setting; readonly cost: number } | null = null;
  const around = letters.map((letter) => ({
    letter,
    before: needBefore(lists[letter], sweep.onset),
    after: needFrom(lists[letter], sweep.onset),
  }));
  for (const setting of sweep.settings) {
    let cost = 0;
    for (const { letter, before, after } of around) {
      const position = positionOf(setting, letter);
      if (before !== undefined && before.alter !== position) cost += before.end > sweep.onset ? 100 : 1;
      if (after !== undefined && after.alter !== position) cost += after.onset < end ? 100 : 1;
    }
    if (best === null || cost < best.cost) best = { setting, cost };
  }
  return best === null ? null : best.setting;
}

/** What a passage asks of each pedal; each glissando in the setting that asks least of the feet. */
export function needsOf(passage: Passage, instrument: Instrument): Needs {
  const lists = noteNeeds(passage, instrument);
  if (passage.sweeps.length === 0) return lists;
  const touched = new Set<Letter>();
  for (const sweep of [...passage.sweeps].sort((a, b) => a.onset - b.onset)) {
    const letters = sweptLetters(sweep, instrument);
    const setting = chooseSetting(sweep, letters, lists);
    if (setting === null) continue;
    for (const letter of letters) {
      const need: Need = {
        onset: sweep.onset,
        end: ticks(sweep.onset + sweep.duration),
        letter,
        alter: positionOf(setting, letter),
        ids: [sweep.id],
      };
      insert(lists[letter], need);
      touched.add(letter);
    }
  }
  for (const letter of touched) lists[letter] = joined(lists[letter]);
  return lists;
}

function insert(list: Need[], need: Need): void {
  let i = list.length;
  while (i > 0 && (list[i - 1] as Need).onset > need.onset) i--;
  list.splice(i, 0, need);
}

/** The inflection asked most often of each discless string that is used; the lower of equals. */
export function tuningOf(passage: Passage, instrument: Instrument): Record<number, Position> {
  const counts = new Map<number, Map<Position, number>>();
  const notes = [...passage.plucks, ...passage.trembles.flatMap((t) => t.notes)];
  for (const { pitch } of notes) {
    const string = stringOf(pitch);
    if (!instrument.discless.includes(string) || Math.abs(pitch.alter) > 1) continue;
    const of = counts.get(string) ?? new Map<Position, number>();
    of.set(pitch.alter as Position, (of.get(pitch.alter as Position) ?? 0) + 1);
    counts.set(string, of);
  }
  const tuning: Record<number, Position> = {};
  for (const [string, of] of counts) {
    const [best] = [...of].sort(([a, m], [b, n]) => n - m || a - b);
    if (best !== undefined) tuning[string] = best[0];
  }
  return tuning;
}

/** The setting that a part begins in when nothing is printed: what each letter is first asked for, else its key's. */
export function openingFor(needs: Needs, otherwise: Setting): Setting {
  return PEDALS.reduce((setting, letter, i) => {
    const first = needs[letter][0];
    const was = positionOf(otherwise, letter);
    return first === undefined ? setting : setting + (first.alter - was) * 3 ** i;
  }, otherwise);
}
