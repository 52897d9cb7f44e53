/** The pedals in force give every pitch that is plucked, swept or trembled. */

import type { Problem } from '../../base/problem';
import type { Ticks } from '../../base/units';
import type { Move, PlannedPassage } from '../../harp/planned';
import { type Position, positionOf } from '../../harp/setting';
import { stringLetter, stringOf } from '../../harp/strings';
import type { Sweep } from '../../music/passage';
import { LETTERS, type Letter, type Pitch, pitchName, spellingName } from '../../music/pitch';
import { endOf, firstIndex } from '../passage-index';
import { type Rule, musicProblem } from '../rule';

const SOURCE = 'Wikipedia, "Pedal harp"; one pedal per letter';

/** Positions of each letter over time. */
interface Pedals {
  /** The position in force, a move of that instant included. */
  at(letter: Letter, tick: number): Position;
  /** The same with a move of that very instant left out: a move is free from the last pluck of the old, that pluck's instant included. */
  before(letter: Letter, tick: number): Position;
  moved(letter: Letter, from: number, to: number): Move | undefined;
}

function pedalsOf(planned: PlannedPassage): Pedals {
  const lists = new Map<Letter, Move[]>(LETTERS.map((letter) => [letter, []]));
  for (const move of planned.moves) (lists.get(move.letter) as Move[]).push(move);
  // The moves that pass a test come first in each list: halving finds the last of them.
  const last = (letter: Letter, test: (m: Move) => boolean): Position => {
    const list = lists.get(letter) as Move[];
    const passed = firstIndex(list.length, (i) => !test(list[i] as Move));
    return list[passed - 1]?.to ?? positionOf(planned.start, letter);
  };
  return {
    at: (letter, tick) => last(letter, (m) => m.onset <= tick),
    before: (letter, tick) => last(letter, (m) => m.onset < tick),
    moved: (letter, from, to) => {
      const list = lists.get(letter) as Move[];
      const next = list[firstIndex(list.length, (i) => (list[i] as Move).onset > from)];
      return next !== undefined && next.onset < to ? next : undefined;
    },
  };
}

/** Inflection of a discless string for the whole part, or null where a pedal decides. */
function tuned(planned: PlannedPassage, string: number): Position | null {
  const { discless, disclessDefault } = planned.instrument;
  return discless.includes(string) ? (planned.tuning[string] ?? disclessDefault) : null;
}

function checkNote(
  planned: PlannedPassage,
  pedals: Pedals,
  note: { readonly id: string; readonly pitch: Pitch; readonly onset: Ticks },
): Problem | null {
  const { letter, alter } = note.pitch;
  const fixed = tuned(planned, stringOf(note.pitch));
  const position = fixed ?? pedals.at(letter, note.onset);
  if (position === alter || (fixed === null && pedals.before(letter, note.onset) === alter)) return null;
  const found = {
    value: pitchName(note.pitch),
    limit: spellingName(letter, position),
    source: fixed === null ? SOURCE : planned.instrument.source,
  };
  return musicProblem('wrong-pedal', 'error', note.onset, [note.id], found, {
    kind: fixed === null ? 'pluck' : 'discless',
    letter,
  });
}

function checkSweep(planned: PlannedPassage, pedals: Pedals, sweep: Sweep): Problem | null {
  const step = sweep.to >= sweep.from ? 1 : -1;
  const count = Math.abs(sweep.to - sweep.from) + 1;
  const sounding: { readonly letter: Letter; readonly position: Position }[] = [];
  for (let k = 0; k < count; k++) {
    const string = sweep.from + step * k;
    if (tuned(planned, string) !== null) continue;
    const letter = stringLetter(string);
    // The instant of each string: only what stands while the hand is there counts.
    sounding.push({ letter, position: pedals.at(letter, sweep.onset + (sweep.duration * k) / count) });
  }
  const wrong = (setting: number): Letter[] => [
    ...new Set(sounding.filter((s) => positionOf(setting, s.letter) !== s.position).map((s) => s.letter)),
  ];
  let fewest: { readonly setting: number; readonly letters: readonly Letter[] } | null = null;
  for (const setting of sweep.settings) {
    const letters = wrong(setting);
    if (letters.length === 0) return null;
    if (fewest === null || letters.length < fewest.letters.length) fewest = { setting, letters };
  }
  if (fewest === null) return null;
  const { setting, letters } = fewest;
  const names = (position: (letter: Letter) => number): string =>
    letters.map((letter) => spellingName(letter, position(letter))).join(' ');
  const found = {
    value: names(
      (letter) =>
        (
          sounding.find((s) => s.letter === letter && s.position !== positionOf(setting, letter)) as {
            position: Position;
          }
        ).position,
    ),
    limit: names((letter) => positionOf(setting, letter)),
    source: SOURCE,
  };
  return musicProblem('wrong-pedal', 'error', sweep.onset, [sweep.id], found, { kind: 'sweep' });
}

export const rule: Rule = {
  code: 'wrong-pedal',
  source: SOURCE,
  check({ planned, index }) {
    const pedals = pedalsOf(planned);
    const out: Problem[] = [];
    const add = (p: Problem | null): void => {
      if (p !== null) out.push(p);
    };
    for (const s of index.strikes) add(checkNote(planned, pedals, s));
    for (const sweep of planned.passage.sweeps) add(checkSweep(planned, pedals, sweep));
    for (const t of planned.passage.trembles) {
      for (const note of t.notes) {
        const wrong = checkNote(planned, pedals, { ...note, onset: t.onset });
        add(wrong);
        const { letter } = note.pitch;
        const away =
          tuned(planned, stringOf(note.pitch)) === null ? pedals.moved(letter, t.onset, endOf(t)) : undefined;
        if (wrong !== null || away === undefined) continue;
        const found = {
          value: pitchName(note.pitch),
          limit: spellingName(letter, away.to),
          source: SOURCE,
        };
        add(musicProblem('wrong-pedal', 'error', away.onset, [note.id], found, { kind: 'tremble', letter }));
      }
    }
    return out;
  },
};
