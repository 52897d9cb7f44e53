// The terminal's contract: JSON documents, exit codes, one clear sentence for bad input, same bytes for the same seed.
import { mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { main } from '../../src/cli/main';
import { readPart } from '../../src/interchange/read-part';
import { pitchName } from '../../src/music/pitch';

const folder = mkdtempSync(join(tmpdir(), 'harpwright-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function run(...args: string[]): { code: number; out: string; err: string } {
  let out = '';
  let err = '';
  const code = main(args, { out: (t) => (out += t), err: (t) => (err += t) });
  return { code, out, err };
}
const json = (...args: string[]) => JSON.parse(run(...args, '--json').out);

describe('propose', () => {
  it('answers with files that exist, priced, and says what was rejected', () => {
    const dir = join(folder, 'a', 'b');
    const answer = json(
      'propose',
      'Cmaj7 | A7b9 | Dm9 / G13 /',
      '--seed',
      '7',
      '--count',
      '12',
      '--tempo',
      '96',
      '--out',
      dir,
    );
    expect(answer.proposals).toHaveLength(12);
    for (const p of answer.proposals) {
      expect(p).toMatchObject({
        id: expect.any(String),
        family: expect.any(String),
        seed: expect.any(String),
      });
      expect(Number.isInteger(p.price.pedalMoves)).toBe(true);
      expect(readFileSync(join(dir, p.musicxml), 'utf8')).toContain('<score-partwise');
      expect(readFileSync(join(dir, p.midi)).subarray(0, 4).toString('latin1')).toBe('MThd');
    }
    expect(Array.isArray(answer.rejected)).toBe(true);
  });

  it('gives the same bytes for the same seed, and others for another', () => {
    const write = (name: string, seed: string) => {
      const dir = join(folder, name);
      run('propose', 'Eb | Cm7 | Fm7 Bb7', '--seed', seed, '--count', '6', '--out', dir);
      return readdirSync(dir)
        .sort()
        .map((f) => readFileSync(join(dir, f)).toString('base64'));
    };
    expect(write('s1', '5')).toEqual(write('s2', '5'));
    expect(write('s3', '6')).not.toEqual(write('s4', '5'));
  });

  it('makes one again from its family and seed', () => {
    const all = json('propose', 'C | Am | Dm7 G7', '--seed', '3', '--count', '24').proposals;
    expect(all.length).toBeGreaterThan(12);
    const one = all.at(-1);
    const again = json(
      'propose',
      'C | Am | Dm7 G7',
      '--seed',
      one.seed,
      '--families',
      one.family,
      '--count',
      '1',
    ).proposals[0];
    expect(again.id).toBe(one.id);
    expect(again.price).toEqual(one.price);
  });

  it('keeps the good bars of a line with a wrong word, says what is wrong, and exits 1', () => {
    const { code, out } = run('propose', 'C | Qm7 | G7', '--count', '3', '--json');
    const answer = JSON.parse(out);
    expect(code).toBe(1);
    expect(answer.proposals).toHaveLength(3);
    expect(answer.problems[0].message).toContain('Qm7');
  });

  it('obeys the families and the opening setting asked for', () => {
    const answer = json(
      'propose',
      'C | F | G7 | C',
      '--families',
      'rolled-chords',
      '--count',
      '3',
      '--start',
      'D C B E F G A',
    );
    expect(answer.proposals.length).toBeGreaterThan(0);
    for (const p of answer.proposals) expect(p.family).toBe('rolled-chords');
  });
});

describe('check, pedals', () => {
  const dir = join(folder, 'parts');
  it('finds nothing wrong with what was proposed, and plans it', () => {
    const { proposals } = json('propose', 'Dm7 | G7 | Cmaj7 | A7b9', '--count', '8', '--out', dir);
    for (const p of proposals) {
      const checked = run('check', join(dir, p.musicxml), '--json');
      const report = JSON.parse(checked.out);
      expect(report.problems.filter((x: { severity: string }) => x.severity === 'error')).toEqual([]);
      expect(checked.code).toBe(0);
      expect(report.onsets).toBeGreaterThan(3);
      const plan = json('pedals', join(dir, p.musicxml), '--aim', 'fewest');
      expect(['optimal', 'planned']).toContain(plan.status);
      expect(plan.moves).toHaveLength(plan.pedalMoves);
      expect(plan.lowerBound).toBeLessThanOrEqual(plan.pedalMoves);
      expect(Object.keys(plan.start)).toEqual(['D', 'C', 'B', 'E', 'F', 'G', 'A']);
      expect(plan.pedalMoves).toBeLessThanOrEqual(p.price.pedalMoves);
    }
  });
});

describe('steered from the terminal', () => {
  const dir = join(folder, 'steered');
  const chords = 'C | F#7 | C';
  it('names the limit that refuses all, and what comes back without it', () => {
    const { code, out } = run('propose', chords, '--count', '3', '--density', '20-24', '--json');
    const { proposals, limits } = JSON.parse(out);
    expect([code, proposals.length]).toEqual([1, 0]);
    expect(limits).toEqual([expect.objectContaining({ limit: 'density', back: 3 })]);
    expect(limits[0].message).toContain('without it there are 3 proposals');
    expect(run('propose', chords, '--count', '3', '--density', '20-24').out).toContain(limits[0].message);
  });

  it('tells how hard each proposal is', () => {
    const [one] = json('propose', chords, '--count', '1', '--out', dir).proposals;
    expect(Object.keys(one.difficulty)).toEqual(['stretch', 'leap', 'speed', 'placing', 'feet', 'word']);
    expect(run('propose', chords, '--count', '1').out).toMatch(
      /(easy|medium|hard): stretch [a-z ]+, leap \d+ strings?, speed/,
    );
  });

  it('accompanies the top line of a file, and names who wrote it', () => {
    const tune = ['propose', 'C | G7', '--melody', 'E5:2 G5:2 | D5:4', '--count', '1', '--out', dir];
    const [{ musicxml }] = json(...tune, '--composer', 'M. Alder').proposals;
    expect(readFileSync(join(dir, musicxml), 'utf8')).toContain(
      '<creator type="composer">M. Alder</creator>',
    );
    const [again] = json('propose', 'C | G7', '--melody', join(dir, musicxml), '--count', '1').proposals;
    expect(again.family).toBe('given-melody');
    expect(run('propose', 'C', '--melody', join(dir, 'none.mid')).err).toContain('no such file');
  });

  it('fixes the spelling of a note, and writes the plan into the part', () => {
    const [{ musicxml }] = json(
      'propose',
      chords,
      '--families',
      'bass-and-chords',
      '--count',
      '1',
      '--out',
      dir,
    ).proposals;
    const [file, planned] = [join(dir, musicxml), join(dir, 'planned.musicxml')];
    const bass = (path: string): string[] => {
      const read = readPart('x.musicxml', readFileSync(path));
      if (!read.ok) throw new Error('the part could not be read');
      const { bars, plucks } = read.value.passage;
      return plucks
        .filter((p) => p.onset === bars[1]?.start && p.hand === 'L')
        .map((p) => pitchName(p.pitch));
    };
    const [low] = bass(file);
    expect(low).toMatch(/^(F♯|G♭)\d$/);
    const [other, name] = low?.startsWith('F') === true ? ['Gb', 'G♭'] : ['F#', 'F♯'];
    const answer = json('pedals', file, '--fix', `2:1 ${other}`, '--out', planned);
    expect([answer.status, answer.file]).toEqual(['optimal', planned]);
    expect(bass(planned)[0]).toBe(`${name}${low?.at(-1)}`);
    // What the file says of its pedals is the plan, and nothing in it is wrong.
    const checked = run('check', planned, '--json');
    expect(checked.code).toBe(0);
    expect(readPart('x.musicxml', readFileSync(planned))).toMatchObject({
      value: { markings: { moves: { length: answer.moves.length } } },
    });
  });
});

describe('gliss', () => {
  it('gives the one setting of E7 (common practice; by enumeration)', () => {
    const { settings } = json('gliss', 'E7');
    expect(settings[0]).toMatchObject({
      D: 0,
      C: -1,
      B: 0,
      E: 0,
      F: -1,
      G: 1,
      A: -1,
      exact: true,
      crosses: false,
    });
    expect(settings).toHaveLength(1);
  });
  it('has none for a triad: four notes is the fewest (by enumeration)', () => {
    expect(json('gliss', 'C').settings).toEqual([]);
  });
});

describe('bad input', () => {
  const bad = join(folder, 'bad.musicxml');
  writeFileSync(bad, '<score-partwise><part');
  it.each([
    [['frobnicate'], 'frobnicate'],
    [['propose'], 'chord progression'],
    [['propose', ''], 'no chords'],
    [['propose', 'Xyz'], 'Xyz'],
    [['propose', 'C', '--count', '0'], '--count'],
    [['propose', 'C', '--count', 'many'], '--count'],
    [['propose', 'C', '--tempo', '0'], '--tempo'],
    [['propose', 'C', '--metre', '4/5'], '--metre'],
    [['propose', 'C', '--families', 'nope'], 'nope'],
    [['propose', 'C', '--start', 'D C B E F G'], 'A pedal'],
    [['propose', 'C', '--bogus'], '--bogus'],
    [['check', join(folder, 'missing.musicxml')], 'no such file'],
    [['check', bad], 'bad.musicxml'],
    [['check', folder], 'folder'],
    [['pedals', bad, '--aim', 'best'], '--aim'],
    [['gliss', 'wibble'], 'wibble'],
    [['propose', 'C', '--fix', 'Eb'], '--fix: “Eb” is no place with a spelling'],
    [['pedals', bad, '--fix', '1:1 Ebb'], 'double'],
    [['pedals', bad, '--out', 'plan.doc'], '--out'],
  ])('%j: one sentence with %j, exit 2, nothing on stdout', (args, says) => {
    const { code, out, err } = run(...args, '--json');
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(err).toContain(says);
    expect(err.trim().split('\n')).toHaveLength(1);
  });
});
