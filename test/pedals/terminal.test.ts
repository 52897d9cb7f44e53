// The terminal's pedal and glissando calls: what the user steers, cheaper neighbours, nearest settings, bad input.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
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
  it('lets every pedal settle where that is asked, or says what forbids it', () => {
    const hurried = join(folder, 'hurried.musicxml');
    const note = (alter: number): string =>
      `<note><pitch><step>E</step><alter>${alter}</alter><octave>4</octave></pitch><duration>1</duration></note>`;
    writeFileSync(
      hurried,
      `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list><part id="P1"><measure number="1"><attributes><divisions>4</divisions><time><beats>2</beats><beat-type>16</beat-type></time></attributes>${note(0)}${note(-1)}</measure></part></score-partwise>`,
    );
    const asked = ['pedals', hurried, '--keep-spelling', '--tempo', '200'];
    expect(json(...asked)).toMatchObject({ pedalMoves: 1, status: 'optimal' });
    const refused = json(...asked, '--must-settle');
    expect(refused.status).toBe('unplayable');
    expect(refused.ways).toContainEqual({ kind: 'unsettled' });
    const { out, code } = run(...asked, '--must-settle');
    expect(code).toBe(1);
    expect(out).toContain('not every pedal can stand 0.1 s before its note');
    expect(out).toContain('Where a pedal may move right before its note it can be played.');
    // A sixteenth of 0.11 s: at the pluck itself it may move, and settles.
    const calm = json('pedals', hurried, '--keep-spelling', '--tempo', '135', '--must-settle');
    expect(calm).toMatchObject({ pedalMoves: 1, status: 'optimal' });
    expect(calm.moves[0].beat).toBe(1);
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
