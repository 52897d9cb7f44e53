/** Where a page can be turned: at bar lines round which one hand is free for long enough. */

import { type Ticks, ticks } from '../base/units';
import type { Hand, Passage } from '../music/passage';
import { tempoMap } from '../music/tempo';
import { midiOf } from '../music/pitch';

/** A hand needs so many seconds to turn a page (common practice). */
export const TURN_SECONDS = 2;
/** A hand leaves a string that rings on after this many ticks, an eighth; else it is busy for the written length. */
const LEAVES = 1680;

export interface Turn {
  /** The bar, by index, that begins the new page. */
  readonly bar: number;
  /** How long the freer hand has nothing to play. */
  readonly seconds: number;
  readonly hand: Hand;
}

interface Busy {
  readonly from: Ticks;
  readonly to: Ticks;
}

function busyTimes(passage: Passage): Record<Hand, Busy[]> {
  const out: Record<Hand, Busy[]> = { R: [], L: [] };
  for (const pluck of passage.plucks) {
    const hand = pluck.hand ?? (midiOf(pluck.pitch) < 60 ? 'L' : 'R');
    const length = pluck.ring === true ? Math.min(LEAVES, pluck.duration) : pluck.duration;
    out[hand].push({ from: pluck.onset, to: ticks(pluck.onset + length) });
  }
  for (const { hand, onset, duration } of passage.sweeps) {
    out[hand].push({ from: onset, to: ticks(onset + duration) });
  }
  for (const { notes, onset, duration } of passage.trembles) {
    for (const { hand } of notes) out[hand].push({ from: onset, to: ticks(onset + duration) });
  }
  return out;
}

/** For each bar but the first, which hand is freer round its bar line and for how long. */
export function turns(passage: Passage): Turn[] {
  const busy = busyTimes(passage);
  const map = tempoMap(passage.tempo);
  const end = passage.bars.at(-1);
  if (end === undefined) return [];
  const last = ticks(end.start + end.length);
  const free = (hand: Hand, at: Ticks): number => {
    const before = busy[hand].filter(({ from }) => from < at).reduce((t, { to }) => Math.max(t, to), 0);
    const after = busy[hand].reduce((t, { from }) => (from >= at ? Math.min(t, from) : t), last as number);
    return Math.max(0, map.secondsAt(ticks(after)) - map.secondsAt(ticks(Math.min(before, after))));
  };
  return passage.bars.slice(1).map((bar, i): Turn => {
    const [right, left] = [free('R', bar.start), free('L', bar.start)];
    return { bar: i + 1, seconds: Math.max(right, left), hand: left >= right ? 'L' : 'R' };
  });
}

/**
 * The bar that begins the next page, where this one begins at `from` and could hold the bars before `full`: the last
 * bar line in the page's second half at which a hand is free for two seconds, or failing that in its middle third: a
 * copyist leaves the rest of a page empty for a turn. Where there is none, the freest bar line of the second half.
 */
export function chooseTurn(
  all: readonly Turn[],
  from: number,
  full: number,
  mayBegin: (bar: number) => boolean,
): Turn | null {
  const part = (share: number): number => from + Math.ceil((full - from) * share);
  const open = all.filter(({ bar }) => bar > from && bar >= part(1 / 3) && bar <= full && mayBegin(bar));
  const half = open.filter(({ bar }) => bar >= part(1 / 2));
  const isGood = ({ seconds }: Turn): boolean => seconds >= TURN_SECONDS;
  const best = half.reduce<Turn | null>(
    (a, b) => (a === null || b.seconds > a.seconds - 0.001 ? b : a),
    null,
  );
  return (
    half.findLast(isGood) ?? open.findLast(isGood) ?? best ?? all.find(({ bar }) => bar === full) ?? null
  );
}

/** What a turn asks of the player, where `bar` is the printed number of the bar that begins the next page. */
export function turnWords({ seconds, hand }: Turn, bar: string): string {
  const name = hand === 'R' ? 'right' : 'left';
  const free = `${Math.round(seconds * 100) / 100} s`;
  if (seconds >= TURN_SECONDS) return `Turn before bar ${bar}: the ${name} hand is free for ${free}.`;
  const none = `no hand is free for ${TURN_SECONDS} s in the last two thirds of the page`;
  return seconds > 0
    ? `Turn before bar ${bar}: ${none}; here the ${name} hand is, for ${free}, which is short.`
    : `Turn before bar ${bar}: ${none}, and none at all here: someone else has to turn.`;
}
