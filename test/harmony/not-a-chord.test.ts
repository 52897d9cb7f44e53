// What is no chord symbol: answered with the nearest that is one, or refused.
import { describe, expect, it } from 'vitest';
import { parseChord } from '../../src/harmony/chord';
import { editDistance } from '../../src/harmony/nearest';

describe('what is not a chord', () => {
  it.each([
    ['Cmaj77', 'Cmaj7'],
    ['Cmja7', 'Cmaj7'],
    ['am7', 'Am7'],
    ['c', 'C'],
    ['Hm7', 'Bm7'],
    ['H', 'B'],
    ['C/g', 'C/G'],
    ['C7/E/G', 'C7/E'],
    ['Do', 'Ddim'],
    ['Gsus5', 'Gsus4'],
    ['C7(b9', 'C7b9'],
    ['Eb7#12', 'Eb7#11'],
    ['C9add9', 'Cadd9'],
    // H is B; what is nothing like a suffix is left out.
    ['Hfoo', 'B'],
    ['Ffoo', 'F'],
    ['Hmaj77', 'Bmaj7'],
  ])('%s is answered with %s', (text, nearest) => {
    const read = parseChord(` ${text} `);
    expect(read.ok).toBe(false);
    if (read.ok) return;
    expect(read.problems).toHaveLength(1);
    expect(read.problems[0]).toMatchObject({
      code: 'unknown-chord',
      where: { kind: 'text', start: 1, end: 1 + text.length },
      value: text,
      limit: nearest,
    });
    expect(parseChord(nearest).ok).toBe(true);
  });

  it('names nothing where nothing is near', () => {
    for (const text of ['foo', 'hello', 'xyz']) {
      const read = parseChord(text);
      expect(read.ok ? null : read.problems[0]?.limit, text).toBe('');
    }
  });

  it('refuses what contradicts itself or is cut short', () => {
    const words = [
      '',
      'X',
      'C7()',
      'C7(b9',
      'C7b9)',
      'C7b9b9',
      'C9add9',
      'Cdimb5',
      'C5no3',
      'C7(,b9)',
      'Csus4sus4',
      'C/',
      'C//G',
    ];
    for (const text of words) expect(parseChord(text).ok, text).toBe(false);
  });

  it('measures slips', () => {
    expect(editDistance('maj77', 'maj7')).toBe(2);
    expect(editDistance('mja7', 'maj7')).toBe(2);
    expect(editDistance('c', 'C')).toBe(1);
    expect(editDistance('', 'sus')).toBe(6);
  });
});
