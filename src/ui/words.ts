/** Numbers as words, for the list. */

import type { CheckReport } from '../proposals/check';
import type { PlanAnswer } from '../pedals/types';
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

/** '12 pedal moves, and no plan has fewer', or what is known of a plan that is not proven. */
export function planWords(answer: Exclude<PlanAnswer, { readonly status: 'unplayable' }>): string {
  const { moves } = answer.price;
  const made = moves === 0 ? 'no pedal moves' : count(moves, 'pedal move', 'pedal moves');
  if (moves === 0) return made;
  const proven = answer.status === 'optimal' ? ' · proven cheapest' : '';
  return answer.lowerBound === moves
    ? `${made}${proven}, and no plan has fewer`
    : `${made}${proven} · no plan has fewer than ${answer.lowerBound}`;
}

export const remarkWords = (n: number): string => count(n, 'remark', 'remarks');

/** '0:07'. */
export function clockWords(seconds: number): string {
  const whole = Math.max(0, Math.floor(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')}`;
}

/** A rule's code as words: 'hand-speed' is 'hand speed'. */
export const kindWords = (code: string): string => code.replaceAll('-', ' ');

/** '412 onsets · 2 cannot be played · 9 remarks'. */
export function checkWords(report: Pick<CheckReport, 'onsets' | 'problems'>): string {
  const errors = report.problems.filter((p) => p.severity === 'error').length;
  const cannot =
    errors === 0
      ? 'all of it can be played'
      : count(errors, 'place cannot be played', 'places cannot be played');
  const rest = report.problems.length - errors;
  return [
    count(report.onsets, 'onset', 'onsets'),
    cannot,
    ...(rest > 0 ? [count(rest, 'warning', 'warnings')] : []),
  ].join(' · ');
}
