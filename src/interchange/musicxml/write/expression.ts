/** Dynamics and the words of technique, told once where they begin and once where they end. */

import { type Ticks } from '../../../base/units';
import type { Bar } from '../../../music/metre';
import { barAt } from '../../../music/metre';
import type { Dynamic, Hand, Technique } from '../../../music/passage';
import { type Mark, directionMark } from './marks';
import type { Staff } from './staves';
import type { VoicedEvent } from './voices';
import { el, text } from './xml';

const HANDS: readonly Hand[] = ['R', 'L'];

/** Words printed where a technique begins (common practice: French terms). */
const WORDS: Readonly<Partial<Record<Technique, string>>> = {
  table: 'près de la table',
  etouffe: 'étouffé',
  nail: 'avec l’ongle',
};
const END_WORD = 'ord.';

/** The dynamic that most notes of each bar share, the first one met winning a tie; by hand and bar. */
function barDynamics(events: readonly VoicedEvent[], bars: readonly Bar[], hand: Hand) {
  const counts = new Map<number, { onset: Ticks; count: Map<Dynamic, number> }>();
  for (const event of events) {
    if (event.hand !== hand) continue;
    const { index } = barAt(bars, event.onset);
    const bar = counts.get(index) ?? { onset: event.onset, count: new Map<Dynamic, number>() };
    counts.set(index, bar);
    for (const head of event.heads) bar.count.set(head.dynamic, (bar.count.get(head.dynamic) ?? 0) + 1);
  }
  return [...counts.values()].map(({ onset, count }) => {
    const [dynamic] = [...count].reduce((a, b) => (b[1] > a[1] ? b : a));
    return { onset, dynamic };
  });
}

export interface DynamicPlan {
  readonly marks: readonly Mark[];
  /** The printed dynamic that a hand stands in at a tick. */
  readonly standing: (hand: Hand, at: Ticks) => Dynamic | null;
}

/**
 * A dynamic is printed at the first note of a bar whose commonest dynamic is new; both hands share one between
 * the staves, a hand alone has its own outside them. Single notes that differ carry it unseen.
 */
export function dynamicMarks(events: readonly VoicedEvent[], bars: readonly Bar[]): DynamicPlan {
  const changes = new Map<Hand, { onset: Ticks; dynamic: Dynamic }[]>();
  for (const hand of HANDS) {
    const list: { onset: Ticks; dynamic: Dynamic }[] = [];
    for (const bar of barDynamics(events, bars, hand)) {
      if (list.at(-1)?.dynamic !== bar.dynamic) list.push(bar);
    }
    changes.set(hand, list);
  }
  const [right, left] = HANDS.map((hand) => changes.get(hand) ?? []) as [
    { onset: Ticks; dynamic: Dynamic }[],
    { onset: Ticks; dynamic: Dynamic }[],
  ];
  const shape = (dynamic: Dynamic) => [el('dynamics', {}, el(dynamic, {}))];
  const marks: Mark[] = [];
  const shared = new Set<{ onset: Ticks }>();
  for (const r of right) {
    const both = left.find(
      (l) => l.dynamic === r.dynamic && barAt(bars, l.onset).index === barAt(bars, r.onset).index,
    );
    if (both !== undefined) {
      // The earlier of the two speaks for both.
      const onset = both.onset < r.onset ? both.onset : r.onset;
      r.onset = both.onset = onset;
      shared.add(both);
      marks.push(directionMark(onset, 5, { placement: 'below', staff: 1, types: shape(r.dynamic) }));
    } else {
      marks.push(directionMark(r.onset, 5, { placement: 'above', staff: 1, types: shape(r.dynamic) }));
    }
  }
  for (const l of left) {
    if (shared.has(l)) continue;
    marks.push(directionMark(l.onset, 5, { placement: 'below', staff: 2, types: shape(l.dynamic) }));
  }
  const standing = (hand: Hand, at: Ticks): Dynamic | null =>
    changes.get(hand)?.findLast((change) => change.onset <= at)?.dynamic ?? null;
  return { marks, standing };
}

interface Said {
  readonly hand: Hand;
  readonly event: VoicedEvent;
  readonly words: string;
}

/** Changes of technique in each hand, in order: the word of the new one, or 'ord.'. */
function changesOf(own: readonly VoicedEvent[], hand: Hand): Said[] {
  let current: string | undefined;
  return own.flatMap((event) => {
    const words = event.heads.map((head) => WORDS[head.technique]).find((word) => word !== undefined);
    const turned = words !== current;
    current = words;
    return turned ? [{ hand, event, words: words ?? END_WORD }] : [];
  });
}

/**
 * Words at the start and end of each run of a technique in a hand; once for both hands where the second takes it
 * up with its next note in the same bar. 'bisbigl.' at the first of trembles that follow in the same or the next bar.
 */
export function techniqueMarks(
  events: readonly VoicedEvent[],
  bars: readonly Bar[],
  staffOf: (event: VoicedEvent) => Staff,
): Mark[] {
  const byTime = [...events].sort((a, b) => a.onset - b.onset);
  const own = (hand: Hand): VoicedEvent[] => byTime.filter((event) => event.hand === hand);
  const barOf = (event: VoicedEvent): number => barAt(bars, event.onset).index;
  const said = HANDS.flatMap((hand) => changesOf(own(hand), hand));
  const joins = (first: Said, second: Said): boolean =>
    second.hand !== first.hand &&
    second.words === first.words &&
    barOf(second.event) === barOf(first.event) &&
    second.event.onset >= first.event.onset &&
    own(second.hand).find((event) => event.onset >= first.event.onset) === second.event;
  const word = (onset: Ticks, staff: Staff, words: string): Mark =>
    directionMark(onset, 7, {
      placement: staff === 1 ? 'above' : 'below',
      staff,
      types: [text('words', words, { 'font-style': 'italic' })],
    });
  const marks = said.flatMap((one) => {
    const joined = said.some(
      (other) => joins(other, one) && (other.event.onset < one.event.onset || other.hand === 'R'),
    );
    if (joined) return [];
    const speaksForBoth = said.some((other) => joins(one, other));
    return [word(one.event.onset, speaksForBoth ? 1 : staffOf(one.event), one.words)];
  });
  let last = -2;
  for (const event of byTime) {
    if (event.kind !== 'tremble') continue;
    const bar = barOf(event);
    if (bar > last + 1) marks.push(word(event.onset, staffOf(event), 'bisbigl.'));
    last = bar;
  }
  return marks;
}
