/** Reads a pedal setting as people type it: 'Db C Bb | Eb F G A', 'D C B E F# G A'. */

import type { Problem } from '../base/problem';
import { type Result, fail, ok } from '../base/result';
import type { Letter } from '../music/pitch';
import { PEDALS, type Position, type Setting, packSetting } from './setting';

const WORD = /^([A-Ga-g])([b♭#♯♮]?)$/;

function positionFrom(sign: string): Position {
  if (sign === 'b' || sign === '♭') return -1;
  return sign === '#' || sign === '♯' ? 1 : 0;
}

/**
 * Seven words, a letter and b, # or nothing each, in any order; `|`, `/` and commas may stand between.
 * Fails with one problem that says which word is wrong or which pedal is missing.
 */
export function parseSetting(text: string): Result<Setting> {
  const wrong = (where: { start: number; end: number }, value: string): Result<Setting> =>
    fail<Problem>({
      code: 'setting-text',
      severity: 'error',
      where: { kind: 'text', ...where },
      value,
      limit: 'D C B E F G A, each once, with b or # where it is not natural',
      source: 'common practice',
    });
  const positions: Partial<Record<Letter, Position>> = {};
  for (const match of text.matchAll(/[^\s|/,]+/g)) {
    const word = match[0];
    const where = { start: match.index, end: match.index + word.length };
    const parts = WORD.exec(word);
    if (parts === null) return wrong(where, `“${word}”, which is no pedal`);
    const letter = (parts[1] as string).toUpperCase() as Letter;
    if (positions[letter] !== undefined) return wrong(where, `the ${letter} pedal twice`);
    positions[letter] = positionFrom(parts[2] ?? '');
  }
  const missing = PEDALS.filter((letter) => positions[letter] === undefined);
  if (missing.length > 0) {
    return wrong(
      { start: 0, end: text.length },
      `no position for the ${missing.join(', ')} pedal${missing.length > 1 ? 's' : ''}`,
    );
  }
  return ok(packSetting(positions as Record<Letter, Position>));
}
