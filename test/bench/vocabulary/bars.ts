/** The sounding bars of harp parts, as exact plucks: onset in the bar, string, inflection, hand. */

import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { stringOf } from '../../../src/harp/strings';
import { readPart } from '../../../src/interchange/read-part';
import { type Metre, barTicks, countTicks } from '../../../src/music/metre';
import type { Hand } from '../../../src/music/passage';
import { assignHands } from '../../../src/playability/hands';

export interface Struck {
  /** Ticks from the bar line. */
  readonly onset: number;
  readonly string: number;
  readonly alter: number;
  readonly hand: Hand;
}

export interface PublishedBar {
  readonly part: string;
  readonly number: string;
  readonly metre: Metre;
  readonly length: number;
  /** By onset, then from low to high. */
  readonly plucks: readonly Struck[];
}

export const inOrder = (plucks: readonly Struck[]): Struck[] =>
  [...plucks].sort((a, b) => a.onset - b.onset || a.string - b.string || (a.hand < b.hand ? -1 : 1));

/** The metre that fills a bar: the printed one, or as many of its written beats as the bar has. */
const metreOf = (metre: Metre, length: number): Metre =>
  barTicks(metre) === length ? metre : { ...metre, beats: length / countTicks(metre) };

/** Every bar with a pluck, of every part in a folder; what cannot be read is named on stderr. */
export function barsOf(folder: string): PublishedBar[] {
  return readdirSync(folder)
    .filter((name) => /\.(musicxml|xml|mxl)$/i.test(name))
    .sort()
    .flatMap((name) => {
      const read = readPart(name, readFileSync(join(folder, name)));
      if (!read.ok) {
        console.error(`${name}: ${read.problems[0]?.code ?? 'unreadable'}`);
        return [];
      }
      const passage = assignHands(read.value.passage);
      return passage.bars.flatMap((bar) => {
        const plucks = passage.plucks
          .filter((p) => p.onset >= bar.start && p.onset < bar.start + bar.length)
          .map((p) => ({
            onset: p.onset - bar.start,
            string: stringOf(p.pitch),
            alter: p.pitch.alter as number,
            hand: p.hand ?? 'R',
          }));
        const metre = metreOf(bar.metre, bar.length);
        return plucks.length === 0
          ? []
          : [
              {
                part: name,
                number: bar.number,
                metre,
                length: bar.length,
                plucks: inOrder(plucks),
              },
            ];
      });
    });
}
