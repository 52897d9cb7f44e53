// The terminal's pedal and glissando calls: what the user steers, cheaper neighbours, nearest settings, bad input.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { main } from '../../src/cli/main';

const folder = mkdtempSync(join(tmpdir(), 'harpwright-pedals-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function run(...args: string[]): { code: number; out: string; err: string } {
  let [out, err] = ['', ''];
  const code = main(args, { out: (t) => (out += t), err: (t) => (err += t) });
  return { code, out, err };
}
const json = (...args: string[]) => JSON.parse(run(...args, '--json').out);

const written = json('propose', 'C | A7 | Dm | G7 | Ab | C', '--count', '4', '--seed', '2', '--out', folder);
const file = join(folder, written.proposals[0].musicxml);

describe('pedals', () => {
  it('leaves locked pedals alone, in every answer', () => {
    const free = json('pedals', file, '--aim', 'fewest');
    expect(free.pedalMoves).toBeGreaterThan(0);
    const letter = free.moves[0].letter as string;
    const held = json('pedals', file, '--aim', 'fewest', '--lock', letter);
    expect(held.moves.some((m: { letter: string }) => m.letter === letter)).toBe(false);
    if (held.status !== 'unplayable') expect(held.pedalMoves).toBeGreaterThanOrEqual(free.pedalMoves);
    else expect(held.conflict.length).toBeGreaterThan(0);
  });
  it('offers changes with their place, sentence and saving, in both forms', () => {
    const { neighbours, pedalMoves } = json('pedals', file, '--aim', 'fewest');
    expect(neighbours.length).toBeGreaterThan(0);
    for (const n of neighbours) {
      expect(n).toMatchObject({ bar: expect.any(String), beat: expect.any(Number), mends: false });
      expect(n.message).toMatch(/^(without|with) .*\.$/);
      expect(n.saves).toBeLessThanOrEqual(pedalMoves);
    }
    expect(run('pedals', file, '--aim', 'fewest').out).toContain(neighbours[0].message);
  });
  it('takes foot times and a key of the harp’s own', () => {
    const plain = json('pedals', file, '--aim', 'fewest');
    const slow = json('pedals', file, '--aim', 'fewest', '--foot-times', '9,10');
    expect(slow.pedalMoves).toBe(plain.pedalMoves);
    expect(slow.price.hasty).toBeGreaterThanOrEqual(plain.price.hasty);
    expect(json('pedals', file, '--harp-key', 'Db').status).toBe('optimal');
    const { price, leastPoints } = json('pedals', file, '--emergencies');
    expect(price.terms.emergencies).toBe(0);
    expect(leastPoints).toBe(price.points);
  });
  it.each([
    [['--lock', 'H'], '“H”'],
    [['--lock', 'B,Bb'], 'B pedal twice'],
    [['--lock', ' '], '--lock'],
    [['--lock', 'Bb', '--start', 'D C B E F G A'], 'B♭'],
    [['--lock', 'B', '--end', 'D C Bb E F G A', '--start', 'D C B E F G A'], '--end'],
    [['--foot-times', '0,0'], '--foot-times'],
    [['--foot-times', '0.4'], '--foot-times'],
    [['--foot-times', 'fast,slow'], '--foot-times'],
    [['--harp-key', 'G# major'], '--harp-key'],
    [['--harp-key', 'x'], '--harp-key'],
  ])('%j: one sentence with %j, exit 2', (args, says) => {
    const { code, out, err } = run('pedals', file, ...args, '--json');
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain(says);
    expect(err.trim().split('\n')).toHaveLength(1);
  });
});

describe('gliss', () => {
  it('lists the nearest where none is exact, with what is wrong in each', () => {
    const { settings, nearest } = json('gliss', 'C6');
    expect(settings).toEqual([]);
    expect(nearest[0]).toMatchObject({ B: 1, F: -1, exact: false, foreign: ['D'], missing: [] });
    expect(nearest[0].message).toBe('also sounds D.');
    expect(run('gliss', 'C6').out).toContain('also sounds D.');
  });
  it('lists none beside an exact one', () => {
    expect(json('gliss', 'E7').nearest).toEqual([]);
  });
});
