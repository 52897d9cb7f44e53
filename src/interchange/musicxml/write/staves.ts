/** Puts each event on the staff where it reads best; a beamed group stays on one staff unless it spans widely. */

import { type Pitch, diatonicIndex } from '../../../music/pitch';
import type { VoicedEvent } from './voices';

export type Staff = 1 | 2;

/** Treble or bass. */
export type Clef = 'G' | 'F';
/** The clef of a staff in a bar, by index. */
export type ClefOf = (bar: number, staff: Staff) => Clef;

/** Lowest and highest steps on the lines of treble and bass: E4–F5, G2–A3. */
const LINES = { G: { low: 30, high: 38 }, F: { low: 18, high: 26 } } as const;

/** Ledger lines that a pitch needs under a clef: above the staff positive, below it negative. */
export function ledgersFrom(pitch: Pitch, clef: Clef): number {
  const step = diatonicIndex(pitch);
  const { low, high } = LINES[clef];
  return step > high ? (step - high) >> 1 : step < low ? -((low - step) >> 1) : 0;
}
/** Ledger lines that a pitch needs under a clef. */
export const ledgers = (pitch: Pitch, clef: Clef): number => Math.abs(ledgersFrom(pitch, clef));

/** The staff on which a sweep ends: that of its start, unless the other spares two ledger lines or more. */
export function goalStaff(pitch: Pitch, start: Staff, bar: number, clefOf: ClefOf): Staff {
  const other: Staff = start === 1 ? 2 : 1;
  const spared = ledgers(pitch, clefOf(bar, start)) - ledgers(pitch, clefOf(bar, other));
  return spared >= 2 ? other : start;
}

/** Price of leaving a hand's own staff, and of changing staves from one group to the next. */
const AWAY = 6;
const CHANGE = 4;
/** The same under one beam with the other hand, where the staff shows the hand. */
const AWAY_ACROSS = 9;
/** Price of each note or chord set among those of the other hand, on its staff: next to a held note less. */
const CROWD = { moving: 8, held: 3 };
/** A half note is held. */
const HELD = 6720;
/** From this many ledger lines on a group is shared between the staves. */
const TOO_FAR = 4;

/** What a head costs a reader in ledger lines: the third and fourth much more than the first. */
export const headCost = (pitch: Pitch, clef: Clef): number => {
  const n = ledgers(pitch, clef);
  return n + 2 * Math.max(0, n - 1) ** 2;
};

const pitches = (event: VoicedEvent): Pitch[] => [
  ...event.heads.map((head) => head.pitch),
  ...(event.goal === null ? [] : [event.goal.pitch]),
];
const eventCost = (event: VoicedEvent, clef: Clef): number =>
  event.heads.reduce((sum, head) => sum + headCost(head.pitch, clef), 0);

const ownStaff = (event: VoicedEvent): Staff => (event.hand === 'R' ? 1 : 2);

/** What it costs each event to stand on the other hand's staff beside that hand's notes. */
function crowdPrices(events: readonly VoicedEvent[]): Map<VoicedEvent, number> {
  const out = new Map<VoicedEvent, number>();
  for (const hand of ['R', 'L'] as const) {
    const others = events.filter((event) => event.hand !== hand).sort((a, b) => a.onset - b.onset);
    const longest = others.reduce((most, { onset, end }) => Math.max(most, end - onset), 0);
    for (const event of events) {
      if (event.hand !== hand) continue;
      let price = 0;
      for (let i = firstFrom(others, event.onset - longest); i < others.length; i++) {
        const other = others[i] as VoicedEvent;
        if (other.onset >= event.end) break;
        if (other.end <= event.onset) continue;
        price = Math.max(price, other.end - other.onset >= HELD ? CROWD.held : CROWD.moving);
      }
      out.set(event, price);
    }
  }
  return out;
}

/** The first of events in order that begins at a tick or later. */
function firstFrom(events: readonly VoicedEvent[], at: number): number {
  let [low, high] = [0, events.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((events[middle] as VoicedEvent).onset < at) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The cheapest staff for each of a row of groups, by dynamic programming over the two staves. */
function cheapest(
  groups: readonly (readonly VoicedEvent[])[],
  clefOf: (staff: Staff) => Clef,
  prices: { change: number; away: number; crowd: ReadonlyMap<VoicedEvent, number> },
): Staff[] {
  const staves: readonly Staff[] = [1, 2];
  let best = new Map<Staff, { cost: number; path: Staff[] }>();
  for (const group of groups) {
    const next = new Map<Staff, { cost: number; path: Staff[] }>();
    for (const staff of staves) {
      const own = ownStaff(group[0] as VoicedEvent);
      const here =
        group.reduce((sum, event) => sum + eventCost(event, clefOf(staff)), 0) +
        (staff === own ? 0 : group.reduce((sum, event) => sum + (prices.crowd.get(event) ?? 0), prices.away));
      let from = { cost: 0, path: [] as Staff[] };
      if (best.size > 0) {
        const [same, other] = [best.get(staff), best.get(staff === 1 ? 2 : 1)] as [typeof from, typeof from];
        from =
          same.cost <= other.cost + prices.change ? same : { ...other, cost: other.cost + prices.change };
      }
      next.set(staff, { cost: from.cost + here, path: [...from.path, staff] });
    }
    best = next;
  }
  const [one, two] = [best.get(1), best.get(2)];
  if (one === undefined || two === undefined) return [];
  const own = ownStaff((groups.at(-1) as readonly VoicedEvent[])[0] as VoicedEvent);
  const wins = one.cost === two.cost ? own : one.cost < two.cost ? 1 : 2;
  return wins === 1 ? one.path : two.path;
}

/**
 * Staff of each event. `groupOf` names the beam group of an event (equal keys stay together); events of one
 * voice are judged in a row, bar by bar.
 */
export function giveStaves(
  events: readonly VoicedEvent[],
  groupOf: (event: VoicedEvent) => { bar: number; key: string },
  clefOf: ClefOf,
): Map<VoicedEvent, Staff> {
  const rows = new Map<string, VoicedEvent[]>();
  for (const event of events) {
    const key = `${event.voice} ${groupOf(event).bar}`;
    const row = rows.get(key);
    if (row === undefined) rows.set(key, [event]);
    else row.push(event);
  }
  const crowd = crowdPrices(events);
  const out = new Map<VoicedEvent, Staff>();
  for (const row of rows.values()) {
    const { bar } = groupOf(row[0] as VoicedEvent);
    const clef = (staff: Staff): Clef => clefOf(bar, staff);
    const across = row.some((event) => event.across);
    const groups: VoicedEvent[][] = [];
    let last: string | null = null;
    for (const event of row) {
      const key = groupOf(event).key + (across ? event.hand : '');
      if (key === last) (groups.at(-1) as VoicedEvent[]).push(event);
      else groups.push([event]);
      last = key;
    }
    const prices = across ? { change: 0, away: AWAY_ACROSS, crowd } : { change: CHANGE, away: AWAY, crowd };
    cheapest(groups, clef, prices).forEach((staff, i) => {
      const group = groups[i] as VoicedEvent[];
      const far = group.some((event) =>
        pitches(event).some((pitch) => ledgers(pitch, clef(staff)) >= TOO_FAR),
      );
      const each =
        far && group.length > 1 && !across
          ? cheapest(
              group.map((event) => [event]),
              clef,
              { change: 1, away: AWAY, crowd },
            )
          : null;
      group.forEach((event, k) => out.set(event, each?.[k] ?? staff));
    });
  }
  return out;
}
