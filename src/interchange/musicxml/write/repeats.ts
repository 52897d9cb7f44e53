/** Repeat signs: bar lines with repeats and endings, segno, coda, and the words that send the player there. */

import type { Element } from 'xast';
import type { WrittenBar } from '../../../music/passage';
import { el, text } from './xml';

type Signs = ReadonlyMap<number, WrittenBar>;

const endingOf = (signs: Signs, bar: number): string => signs.get(bar)?.ending?.join(', ') ?? '';

/** Before the notes of a bar: the start of a repeat or of an ending, and the signs that are gone to. */
export function signsBefore(signs: Signs, bar: number): Element[] {
  const sign = signs.get(bar);
  if (sign === undefined) return [];
  const ending = endingOf(signs, bar);
  const opens = ending !== '' && ending !== endingOf(signs, bar - 1);
  const direction = (type: Element, sound: Record<string, string>): Element =>
    el(
      'direction',
      { placement: 'above' },
      el('direction-type', {}, type),
      text('staff', 1),
      el('sound', sound),
    );
  return [
    ...(opens || sign.repeatStart === true
      ? [
          el(
            'barline',
            { location: 'left' },
            sign.repeatStart === true ? text('bar-style', 'heavy-light') : null,
            opens ? el('ending', { number: ending, type: 'start' }) : null,
            sign.repeatStart === true ? el('repeat', { direction: 'forward' }) : null,
          ),
        ]
      : []),
    ...(sign.segno === true ? [direction(el('segno', {}), { segno: 'segno' })] : []),
    ...(sign.coda === true ? [direction(el('coda', {}), { coda: 'coda' })] : []),
  ];
}

/** After the notes of a bar: where to go, the end of an ending or repeat, and the last bar line. */
export function signsAfter(signs: Signs, bar: number, isLast: boolean): Element[] {
  const sign = signs.get(bar);
  const all = [...signs.values()];
  const words = (said: string, sound: Record<string, string>): Element =>
    el(
      'direction',
      { placement: 'above' },
      el('direction-type', {}, text('words', said)),
      text('staff', 1),
      el('sound', sound),
    );
  const tail = all.some((one) => one.toCoda === true)
    ? ' al Coda'
    : all.some((one) => one.fine === true)
      ? ' al Fine'
      : '';
  const out: Element[] = [];
  if (sign?.toCoda === true) out.push(words('To Coda', { tocoda: 'coda' }));
  if (sign?.fine === true) out.push(words('Fine', { fine: 'yes' }));
  if (sign?.jump === 'dacapo') out.push(words(`D.C.${tail}`, { dacapo: 'yes' }));
  if (sign?.jump === 'dalsegno') out.push(words(`D.S.${tail}`, { dalsegno: 'segno' }));
  const ending = endingOf(signs, bar);
  const closes = ending !== '' && ending !== endingOf(signs, bar + 1);
  const repeats = sign?.repeatEnd;
  if (isLast || closes || repeats !== undefined) {
    out.push(
      el(
        'barline',
        { location: 'right' },
        isLast || repeats !== undefined ? text('bar-style', 'light-heavy') : null,
        closes
          ? el('ending', { number: ending, type: repeats === undefined ? 'discontinue' : 'stop' })
          : null,
        repeats === undefined
          ? null
          : el('repeat', { direction: 'backward', ...(repeats === 2 ? {} : { times: repeats }) }),
      ),
    );
  }
  return out;
}
