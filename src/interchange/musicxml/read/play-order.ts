/** The order in which written bars are played: repeats, endings, da capo, dal segno and coda. */

import type { WrittenBar } from '../../../music/passage';
import type { RawMeasure } from './raw';
import type { UnreadList } from './unread';

const MOST_BARS = 50_000;

/**
 * Bars in the order in which they are played. After a jump repeats are not taken and only last endings are played
 * (common practice); a jump is taken once. Jumps without a place to go to are listed and not followed.
 */
export function playOrder(measures: readonly RawMeasure[], unread: UnreadList): number[] {
  const out: number[] = [];
  let start = 0;
  let pass = 1;
  let jumped = false;
  let i = 0;
  const segno = measures.findIndex((m) => m.jumps.segno);
  while (i < measures.length && out.length < MOST_BARS) {
    const { repeat, ending, jumps, number } = measures[i] as RawMeasure;
    if (repeat.start && i !== start) {
      start = i;
      pass = 1;
    }
    const skipped = ending !== null && (jumped ? !isLastEnding(measures, i) : !ending.includes(pass));
    if (skipped) {
      i++;
      continue;
    }
    out.push(i);
    if (jumped && jumps.fine) break;
    if (jumped && jumps.toCoda) {
      const coda = measures.findIndex((m, k) => k > i && m.jumps.coda);
      if (coda >= 0) {
        i = coda;
        continue;
      }
      unread.add('jump', number, 'to a coda that is not there');
    }
    const next = measures[i + 1]?.ending ?? null;
    const again =
      !jumped &&
      repeat.end &&
      (ending === null
        ? pass < repeat.times
        : pass < Math.max(...ending) || (next?.includes(pass + 1) ?? false));
    if (again) {
      pass++;
      i = start;
      continue;
    }
    if (!jumped && jumps.jump !== null) {
      if (jumps.jump === 'dacapo' || segno >= 0) {
        jumped = true;
        i = jumps.jump === 'dacapo' ? 0 : segno;
        start = i;
        continue;
      }
      unread.add('jump', number, 'to a segno that is not there');
    }
    if (repeat.end || (ending !== null && next === null)) {
      start = i + 1;
      pass = 1;
    }
    i++;
  }
  return out;
}

/** Whether no other ending follows the one that a bar stands under. */
function isLastEnding(measures: readonly RawMeasure[], index: number): boolean {
  const own = measures[index]?.ending ?? null;
  for (let i = index + 1; i < measures.length; i++) {
    const other = measures[i]?.ending ?? null;
    if (other === null) return true;
    if (other.join() !== own?.join()) return false;
  }
  return true;
}

/** The signs at each written bar, or null where the bars are played as they are written. */
export function formOf(measures: readonly RawMeasure[], order: readonly number[]): WrittenBar[] | null {
  if (order.length === measures.length && order.every((bar, i) => bar === i)) return null;
  return measures.map(({ number, repeat, ending, jumps }): WrittenBar => ({
    number,
    ...(repeat.start ? { repeatStart: true } : {}),
    ...(repeat.end ? { repeatEnd: repeat.times } : {}),
    ...(ending === null ? {} : { ending }),
    ...(jumps.segno ? { segno: true } : {}),
    ...(jumps.coda ? { coda: true } : {}),
    ...(jumps.jump === null ? {} : { jump: jumps.jump }),
    ...(jumps.toCoda ? { toCoda: true } : {}),
    ...(jumps.fine ? { fine: true } : {}),
  }));
}
