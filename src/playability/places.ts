/** Places in music as people name them: bars as the score prints them, the upbeat, bars without a number. */

import type { Ticks } from '../base/units';
import { type Bar, barAndBeat, barAt } from '../music/metre';

const isNumbered = (number: string): boolean => /^[1-9]/.test(number);

/** Words for a printed number: 'bar 12', 'the upbeat' for 0, else that the bar has none. */
export function barWords(number: string): string {
  if (isNumbered(number)) return `bar ${number}`;
  return number === '0' ? 'the upbeat' : 'a bar without a number';
}

/**
 * A bar as one finds it in the score: by its printed number; 'the upbeat' for a 0; one without a number (split bars,
 * second endings) by the numbered bar before it. `, second time` and so on where a repeat plays it again.
 */
export function barName(bars: readonly Bar[], bar: Bar): string {
  let name = barWords(bar.number);
  if (!isNumbered(bar.number) && !(bar.number === '0' && bar.index === 0)) {
    let i = bar.index;
    while (i >= 0 && !isNumbered(bars[i]?.number ?? '')) i--;
    name = i < 0 ? 'the upbeat' : `the bar without a number after bar ${bars[i]?.number}`;
  }
  const pass = bar.pass ?? 1;
  const times = ['', '', ', second time', ', third time'][pass] ?? `, time ${pass}`;
  return name + times;
}

/** 'bar 3, beat 2'; 'the upbeat, beat 1'. Beats count from 1 in the metre's own, to hundredths. `bars` not empty. */
export function placeName(bars: readonly Bar[], at: Ticks): string {
  const { beat } = barAndBeat(bars, at);
  return `${barName(bars, barAt(bars, at))}, beat ${Math.round(beat * 100) / 100}`;
}

/** Three and more neighbours in a row as '3–8'. */
function ranges(numbers: readonly string[]): { readonly text: string; readonly count: number }[] {
  const out: { text: string; count: number }[] = [];
  for (let i = 0; i < numbers.length;) {
    let j = i;
    while (j + 1 < numbers.length && Number(numbers[j + 1]) === Number(numbers[j]) + 1) j++;
    if (j - i >= 2) out.push({ text: `${numbers[i]}–${numbers[j]}`, count: j - i + 1 });
    else for (let k = i; k <= j; k++) out.push({ text: numbers[k] as string, count: 1 });
    i = j + 1;
  }
  return out;
}

/**
 * 'bars 3, 5–9, 12 and 12 more'; 'bar 3'; 'the upbeat and bar 4'. From printed numbers, each once, in order; at most
 * `most` numbers or stretches are named.
 */
export function barList(numbers: readonly string[], most = 8): string {
  const upbeat = numbers[0] === '0' ? ['the upbeat'] : [];
  const rest = numbers.slice(upbeat.length);
  if (rest.length === 0) return upbeat.join('');
  if (rest.length === 1) return [...upbeat, barWords(rest[0] as string)].join(' and ');
  const all = ranges(rest);
  const left = all.slice(most).reduce((sum, x) => sum + x.count, 0);
  const shown = all.slice(0, most).map((x) => x.text);
  return [...upbeat, `bars ${shown.join(', ')}${left === 0 ? '' : ` and ${left} more`}`].join(' and ');
}
