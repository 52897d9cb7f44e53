/** Cheaper neighbours in words: place, what changes, what it saves. The page and the terminal say the same. */

import { type Bar, barAndBeat, barAt, beatTicks } from '../music/metre';
import { type Pitch, pitchName, spellingName } from '../music/pitch';
import { positionOf } from '../harp/setting';
import { settingAt } from '../harp/planned';
import { sweptLetters } from '../harp/sweep-settings';
import type { TermName } from '../pedals/rates';
import type { Neighbour } from './neighbours';

/** Said where the limit on work left places out. */
export const INCOMPLETE =
  'The music is long: changes were tried at its dearest places only. A shorter stretch is searched to the end.';

export interface ShownNeighbour {
  readonly bar: string;
  readonly beat: number;
  readonly kind: string;
  readonly message: string;
  /** Pedal moves saved. */
  readonly saves: number;
  /** Moves in a hurry saved. */
  readonly savesHasty: number;
  /** Points of the practical aim saved. */
  readonly savesPoints: number;
  /** True where the part has no pedal plan without the change. */
  readonly mends: boolean;
  readonly ids: readonly string[];
  readonly chord: string | null;
}

const spoken = (all: readonly string[]): string => {
  const names = [...new Set(all)];
  return names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
};
const namesOf = (pitches: readonly Pitch[]): string => spoken(pitches.map(pitchName));

const count = (n: number, one: string, many: string): string => `${n} ${n === 1 ? one : many}`;

/** What is better where no move is saved, by the term of which most is saved. */
const EASES: Readonly<Partial<Record<TermName, string>>> = {
  ring: 'the pedals move under quieter strings',
  respelt: 'fewer notes are respelt',
  reading: 'the chord reads better',
  flips: 'fewer notes change their letter',
  shape: 'the hand need not reach so far',
  sharps: 'the strings ring freer',
  gestures: 'the feet move fewer times',
};

function gain({ mends, saves }: Neighbour): string {
  if (mends) return 'it can be played';
  if (saves.moves > 0) return `${count(saves.moves, 'pedal move is', 'pedal moves are')} saved`;
  if (saves.hasty > 0)
    return `${count(saves.hasty, 'pedal move is', 'pedal moves are')} no longer in a hurry`;
  return `${saves.points} points are saved: ${EASES[saves.most ?? 'moves'] ?? 'the feet have an easier way'}`;
}

const ORDINALS: Readonly<Record<number, string>> = { 0: 'bass', 1: 'root', 2: '2nd', 3: '3rd' };
const degreeName = (degree: number): string => ORDINALS[degree] ?? `${degree}th`;

/** 'without F♯3, the 3rd of D7'. */
function what(n: Neighbour, bars: readonly Bar[]): string {
  const { change, tone } = n;
  const part = tone === null ? '' : `, the ${degreeName(tone.degree)} of ${tone.chord}`;
  switch (change.kind) {
    case 'leave-out':
      return `without ${namesOf(change.from)}${change.ids.length === 1 && part !== '' ? `${part},` : ','}`;
    case 'replace':
      return `with ${namesOf(change.to)} in place of ${namesOf(change.from)}${part},`;
    case 'tension':
      return `with the tension ${namesOf(change.to)} in place of ${namesOf(change.from)}${part},`;
    case 'respell':
      return `with ${namesOf(change.from)} written as ${namesOf(change.to)},`;
    case 'octave':
      return `with ${namesOf(change.to)} in place of ${namesOf(change.from)}, an octave away,`;
    case 'swap':
      return `with ${namesOf(change.from)} in the other order,`;
    case 'hold':
      return `with ${change.chord} held over ${change.until === null ? `in place of ${change.over}` : `for a beat before ${change.over}`} (${namesOf(change.to)} in place of ${namesOf(change.from)}),`;
    case 'delay': {
      const by = change.by === beatTicks(barAt(bars, n.onset).metre) ? 'a beat' : 'somewhat';
      return change.alone
        ? `with ${namesOf(change.from)} ${by} after the rest of its chord,`
        : `with this chord ${by} later,`;
    }
    case 'sweep': {
      const sweep = n.planned.passage.sweeps.find((s) => s.id === change.ids[0]);
      if (sweep === undefined) return 'with another setting for the glissando,';
      const setting = settingAt(n.planned, sweep.onset);
      const letters = [...sweptLetters(sweep.from, sweep.to)];
      return `with ${letters.map((l) => spellingName(l, positionOf(setting, l))).join(' ')} in the glissando,`;
    }
  }
}

/** A neighbour as it is shown; its sentence stands without its place. Beats have at most three decimals. */
export function shownNeighbour(n: Neighbour, bars: readonly Bar[]): ShownNeighbour {
  const { bar, beat } = barAndBeat(bars, n.onset);
  return {
    bar,
    beat: Math.round(beat * 1000) / 1000,
    kind: n.change.kind,
    message: `${what(n, bars)} ${gain(n)}.`,
    saves: n.saves.moves,
    savesHasty: n.saves.hasty,
    savesPoints: n.saves.points,
    mends: n.mends,
    ids: n.change.ids,
    chord: n.tone?.chord ?? null,
  };
}

export const neighbourLine = (n: ShownNeighbour): string => `bar ${n.bar}, beat ${n.beat}: ${n.message}`;
