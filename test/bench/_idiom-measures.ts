/** What tells harp writing from toys, counted alike for generated and published passages. */

import { TICKS_PER_QUARTER } from '../../src/base/units';
import { stringOf } from '../../src/harp/strings';
import type { Hand, Passage, Pluck } from '../../src/music/passage';
import { midiOf } from '../../src/music/pitch';
import { tempoMap } from '../../src/music/tempo';

/** Sums over passages: shares are a / b. */
export interface Tally {
  a: number;
  b: number;
}
export const MEASURES = [
  'notes to an onset',
  'notes between C3 and B5, %',
  'span of a hand’s chord, strings',
  'onsets that change hands, %',
  'bars whose shortest step is an eighth or longer, %',
  'strings struck again within an eighth, %',
  'running notes in one-way groups of three or four, %',
  'groups with time to be placed, %',
  'foreign energy below C4 0.2 s after a change, %',
  'the same, the mean of the shares of each change, %',
  'chords of thirds spelt in thirds, %',
  'letters in the order of pitches, %',
] as const;
export type Measured = Record<(typeof MEASURES)[number], Tally>;
export const nothing = (): Measured =>
  Object.fromEntries(MEASURES.map((m) => [m, { a: 0, b: 0 }])) as unknown as Measured;

const EIGHTH = TICKS_PER_QUARTER / 2;
const C4 = 60;
/** Seconds to fall by 60 dB: middle values of the string table (common practice). */
const decay = (string: number): number =>
  string < 12 ? 10.5 : string < 21 ? 6 : string < 35 ? 3 : string < 38 ? 1.2 : 0.6;

function byOnset(plucks: readonly Pluck[]): Pluck[][] {
  const map = new Map<number, Pluck[]>();
  for (const p of plucks) {
    const list = map.get(p.onset);
    if (list === undefined) map.set(p.onset, [p]);
    else list.push(p);
  }
  return [...map.entries()].sort(([a], [b]) => a - b).map(([, list]) => list);
}

/** Runs of single notes of one hand that keep a direction, with steps of at most a quarter. */
function placing(passage: Passage, into: Measured): void {
  const map = tempoMap(passage.tempo);
  for (const hand of ['L', 'R'] as const) {
    const line = byOnset(passage.plucks.filter((p) => p.hand === hand));
    const other = byOnset(passage.plucks.filter((p) => p.hand !== hand)).map(
      (o) => (o[0] as Pluck).onset as number,
    );
    let group: Pluck[] = [];
    let free = Infinity;
    const close = (): void => {
      if (group.length >= 2) {
        const running = into['running notes in one-way groups of three or four, %'];
        running.b += group.length;
        // A hand places up to four; longer lines are groups that a finger connects.
        if (group.length >= 3) running.a += group.length;
        const placed = into['groups with time to be placed, %'];
        placed.b++;
        const start = (group[0] as Pluck).onset;
        if (free >= 250_000 || other.some((x) => x < start && start - x < TICKS_PER_QUARTER)) placed.a++;
      }
      group = [];
    };
    let before: Pluck[] | null = null;
    for (const o of line) {
      const p = o[0] as Pluck;
      const last = group.at(-1);
      const time =
        before === null ? Infinity : map.microsAt(p.onset) - map.microsAt((before[0] as Pluck).onset);
      if (o.length > 1) close();
      else if (last === undefined) [group, free] = [[p], time];
      else {
        const way = Math.sign(stringOf(p.pitch) - stringOf(last.pitch));
        const first =
          group.length > 1
            ? Math.sign(stringOf((group[1] as Pluck).pitch) - stringOf((group[0] as Pluck).pitch))
            : way;
        if (p.onset - last.onset > TICKS_PER_QUARTER || way === 0 || way !== first) {
          close();
          [group, free] = [[p], time];
        } else group.push(p);
      }
      before = o;
    }
    close();
  }
}

/** Energy of strings below C4 that are foreign to what sounds from each change on. */
function ring(passage: Passage, changes: readonly number[], into: Measured): void {
  const map = tempoMap(passage.tempo);
  const share = into['foreign energy below C4 0.2 s after a change, %'];
  changes.forEach((from, i) => {
    if (i === 0) return;
    const to = changes[i + 1] ?? Infinity;
    const now = passage.plucks
      .filter((p) => p.onset >= from && p.onset < to)
      .map((p) => midiOf(p.pitch) % 12);
    if (now.length === 0) return;
    const instant = map.microsAt(from as Pluck['onset']) + 200_000;
    const struck = new Map<number, { at: number; midi: number }>();
    for (const p of passage.plucks) {
      const at = map.microsAt(p.onset);
      if (at > instant) break;
      const short =
        p.technique === 'etouffe' || passage.damps.some((d) => d.onset > p.onset && d.onset <= from);
      if (short && at < instant - 200_000) struck.delete(stringOf(p.pitch));
      else struck.set(stringOf(p.pitch), { at, midi: midiOf(p.pitch) });
    }
    let [foreign, all] = [0, 0];
    for (const [string, s] of struck) {
      if (s.midi >= C4) continue;
      const energy = 10 ** ((-6 * (instant - s.at)) / 1e6 / decay(string));
      all += energy;
      if (!now.includes(s.midi % 12)) foreign += energy;
    }
    share.a += foreign;
    share.b += all;
    if (all === 0) return;
    const mean = into['the same, the mean of the shares of each change, %'];
    mean.a += foreign / all;
    mean.b++;
  });
}

/** Adds a passage to the sums. `changes`: onsets at which the chord changes. */
export function measure(passage: Passage, changes: readonly number[], into: Measured): void {
  const onsets = byOnset(passage.plucks);
  const add = (name: (typeof MEASURES)[number], yes: number, of: number): void => {
    into[name].a += yes;
    into[name].b += of;
  };
  add('notes to an onset', passage.plucks.length, onsets.length);
  const middle = passage.plucks.filter((p) => midiOf(p.pitch) >= 48 && midiOf(p.pitch) <= 83).length;
  add('notes between C3 and B5, %', middle, passage.plucks.length);
  let hand: Hand | null = null;
  const last = new Map<number, number>();
  for (const o of onsets) {
    for (const h of ['L', 'R'] as const) {
      const s = o.filter((p) => p.hand === h).map((p) => stringOf(p.pitch));
      if (s.length > 1) add('span of a hand’s chord, strings', Math.max(...s) - Math.min(...s) + 1, 1);
    }
    const hands = new Set(o.map((p) => p.hand));
    if (hands.size === 1) {
      const h = (o[0] as Pluck).hand;
      if (hand !== null) add('onsets that change hands, %', h === hand ? 0 : 1, 1);
      hand = h;
    }
    for (const p of o) {
      const s = stringOf(p.pitch);
      const before = last.get(s);
      add(
        'strings struck again within an eighth, %',
        before !== undefined && p.onset - before < EIGHTH ? 1 : 0,
        1,
      );
      last.set(s, p.onset);
    }
    const sorted = [...o].sort((a, b) => stringOf(a.pitch) - stringOf(b.pitch));
    if (sorted.length > 1) {
      const rising = sorted.every(
        (p, i) => i === 0 || midiOf(p.pitch) >= midiOf((sorted[i - 1] as Pluck).pitch),
      );
      add('letters in the order of pitches, %', rising ? 1 : 0, 1);
    }
    const pcs = [...new Map(o.map((p) => [midiOf(p.pitch) % 12, p.pitch])).values()];
    for (const root of pcs) {
      const third = pcs.find((p) => [3, 4].includes((midiOf(p) - midiOf(root) + 120) % 12));
      const fifth = pcs.find((p) => (midiOf(p) - midiOf(root) + 120) % 12 === 7);
      if (pcs.length !== 3 || third === undefined || fifth === undefined) continue;
      const gap = (p: typeof root): number => (stringOf(p) - stringOf(root) + 70) % 7;
      add('chords of thirds spelt in thirds, %', gap(third) === 2 && gap(fifth) === 4 ? 1 : 0, 1);
    }
  }
  for (const bar of passage.bars) {
    const inside = onsets
      .map((o) => (o[0] as Pluck).onset as number)
      .filter((x) => x >= bar.start && x < bar.start + bar.length);
    const steps = inside.slice(1).map((x, i) => x - (inside[i] as number));
    if (steps.length > 0)
      add('bars whose shortest step is an eighth or longer, %', Math.min(...steps) >= EIGHTH ? 1 : 0, 1);
  }
  placing(passage, into);
  ring(passage, changes, into);
}
