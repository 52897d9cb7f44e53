/** Numbers as words, for the list. */

import type { Proposal } from '../proposals/types';

const count = (n: number, one: string, many: string): string => `${n} ${n === 1 ? one : many}`;

/** '3 pedal moves · 2 gestures', or 'no pedal moves'. */
export function priceWords(p: Proposal): string {
  if (p.price.pedalMoves === 0) return 'no pedal moves';
  const parts = [count(p.price.pedalMoves, 'pedal move', 'pedal moves')];
  parts.push(count(p.price.gestures, 'gesture', 'gestures'));
  if (p.price.hasty > 0) parts.push(`${p.price.hasty} in haste`);
  return parts.join(' · ');
}

export const remarkWords = (n: number): string => count(n, 'remark', 'remarks');

/** '0:07'. */
export function clockWords(seconds: number): string {
  const whole = Math.max(0, Math.floor(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')}`;
}
