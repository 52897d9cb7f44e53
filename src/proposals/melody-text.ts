/** The top line of a part as the text of a melody (figures/melody.ts). */

import { TICKS_PER_QUARTER } from '../base/units';
import type { Passage, Pluck } from '../music/passage';
import { asciiPitchName, midiOf } from '../music/pitch';

const gcd = (a: number, b: number): number => (b === 0 ? a : gcd(b, a % b));

/** Ticks as quarters: '2', '1/2', '4/3'. */
function lengthText(ticks: number): string {
  const d = gcd(ticks, TICKS_PER_QUARTER);
  const [over, under] = [ticks / d, TICKS_PER_QUARTER / d];
  return under === 1 ? String(over) : `${over}/${under}`;
}

/** A shorter note cannot be written in the text. */
const SHORTEST = TICKS_PER_QUARTER / 8;

/** The highest note of each onset, each held until the next at most; what is too short to be written is left out. */
function topLine({ plucks }: Passage): Pluck[] {
  const tops = new Map<number, Pluck>();
  for (const p of plucks) {
    const top = tops.get(p.onset);
    if (top === undefined || midiOf(p.pitch) > midiOf(top.pitch)) tops.set(p.onset, p);
  }
  const held = (p: Pluck, next: Pluck | undefined): number =>
    Math.min(p.duration, (next?.onset ?? Infinity) - p.onset);
  const all = [...tops.values()].sort((a, b) => a.onset - b.onset);
  const line = all.filter((p, i) => held(p, all[i + 1]) >= SHORTEST);
  return line.map((p, i) => {
    const room = (line[i + 1]?.onset ?? Infinity) - p.onset;
    // A gap that is too short to be written belongs to the note before it.
    const duration = room - p.duration < SHORTEST ? room : p.duration;
    return { ...p, duration: duration as Pluck['duration'] };
  });
}

/** The top line of a passage as the text of a melody, bar lines for the eye; empty where nothing is struck. */
export function melodyText(passage: Passage): string {
  const bars = new Set<number>(passage.bars.slice(1).map((b) => b.start));
  const words: string[] = [];
  let at = 0;
  for (const p of topLine(passage)) {
    if (p.onset - at >= SHORTEST) words.push(`r:${lengthText(p.onset - at)}`);
    if (bars.has(p.onset) && words.length > 0) words.push('|');
    words.push(`${asciiPitchName(p.pitch)}:${lengthText(p.duration)}`);
    at = p.onset + p.duration;
  }
  return words.join(' ');
}
