// Pedal slides in the terminal: asked for by note, goal and place; a mistake is one sentence.
import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { pedalsCall } from '../../src/cli/pedals';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { chords } from '../proposals/_quarters';

const file = join(mkdtempSync(join(tmpdir(), 'slide-')), 'part.musicxml');
const answer = planPassage(
  chords([[48, 64], [67], [72], [67], [48, 64], null, null, null]),
  defaultPlanOptions,
);
if (answer.status === 'unplayable') throw new Error('playable');
writeFileSync(file, writeMusicXml(answer.planned));

describe('pedals --slide', () => {
  it('moves the pedal when asked, priced as wanted', () => {
    const { json, problemsFound } = pedalsCall([file, '--slide', '1:1 E4 to Eb at 1:3']);
    const { moves, price } = json as unknown as {
      moves: { bar: string; beat: number; letter: string; to: number }[];
      price: { slides: number; terms: { ring: number } };
    };
    expect(moves.filter((m) => m.letter === 'E' && m.to === -1)).toMatchObject([{ bar: '1', beat: 3 }]);
    expect([price.slides, price.terms.ring, problemsFound]).toEqual([1, 0, false]);
  });

  it.each([
    ['1:1 E4', '--slide: “1:1 E4” is no slide'],
    ['1:1 E4 to F at 1:3', 'another E'],
    ['1:1 E4 to Eb at 2:1', 'no longer rings'],
    ['1:2 E4 to Eb at 1:3', 'No note at bar 1, beat 2'],
  ])('answers “%s” with one sentence', (text, told) => {
    expect(() => pedalsCall([file, '--slide', text])).toThrow(told);
  });

  it('is refused for levers', () => {
    expect(() => pedalsCall([file, '--harp', 'lever34', '--slide', '1:1 E4 to Eb at 1:3'])).toThrow('pedals');
  });
});
