// How a part is read from the terminal: transposing parts and harmonics, in every call that reads one.
import { EventEmitter } from 'node:events';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { run as runAll } from '../../src/cli/async-main';
import { main } from '../../src/cli/main';
import { endQuietly } from '../../src/cli/output';
import { readPart } from '../../src/interchange/read-part';
import { midiOf, pitchName } from '../../src/music/pitch';

const folder = mkdtempSync(join(tmpdir(), 'harpwright-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function run(...args: string[]): { code: number; out: string; err: string } {
  let out = '';
  let err = '';
  const code = main(args, { out: (t) => (out += t), err: (t) => (err += t) });
  return { code, out, err };
}

const file = (name: string, attributes: string, notes: string): string => {
  const path = join(folder, name);
  writeFileSync(
    path,
    `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions>${attributes}</attributes>${notes}</measure></part></score-partwise>`,
  );
  return path;
};
const note = (step: string, octave: number, inner = ''): string =>
  `<note><pitch><step>${step}</step><octave>${octave}</octave></pitch><duration>2</duration><voice>1</voice>${inner}</note>`;
const HARMONIC = '<notations><technical><harmonic/></technical></notations>';

describe('reading options', () => {
  // Written D sounds C: the pedal of the C is what is planned for, and nothing is out of key.
  const inB = '<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>';
  const clarinet = file('in-b.musicxml', inB, note('D', 5) + note('E', 5));
  const sounding = file('harmonic.musicxml', '', note('C', 5, HARMONIC) + note('E', 4));

  it('refuses a transposing part in one sentence, and reads it where asked', () => {
    for (const call of ['check', 'pedals', 'two-harps']) {
      const refused = run(call, clarinet);
      expect(refused.code).toBe(2);
      expect(refused.err.trim().split('\n')).toHaveLength(1);
      expect(run(call, clarinet, '--transpose', 'apply').code).not.toBe(2);
    }
  });

  it('asks where harmonics are written only until it is said', () => {
    const unread = (...args: string[]): { what: string }[] =>
      JSON.parse(run('check', sounding, '--json', ...args).out).unread;
    expect(unread()).toEqual([expect.objectContaining({ what: 'harmonic' })]);
    expect(unread('--harmonics', 'string')).toEqual([]);
    expect(unread('--harmonics', 'sounding')).toEqual([]);
  });

  it('says in one sentence what the options take', () => {
    expect(run('check', clarinet, '--transpose', 'up').err).toContain(
      '--transpose is apply or refuse, not “up”',
    );
    expect(run('pedals', sounding, '--harmonics', 'no').err).toContain('--harmonics is string or sounding');
  });

  it('mends a transposing part at concert pitch, written anew, and says so', () => {
    const out = join(folder, 'mended-b.musicxml');
    expect(run('mend', clarinet, '--out', out).code).toBe(2);
    const { code, err } = run('mend', clarinet, '--out', out, '--transpose', 'apply');
    expect([code, err.trim().split('\n').length]).toEqual([0, 1]);
    expect(err).toContain('concert pitch');
    const read = readPart('mended.musicxml', readFileSync(out));
    expect(read.ok && read.value.passage.plucks.map((p) => pitchName(p.pitch))).toEqual(['C5', 'D5']);
  });

  it('mends a harmonic that is written where it sounds, and leaves it written so', () => {
    // C and C♯ sound together: the harmonic of C♯ can be had from the string of D♭.
    const clash = file(
      'harmonic-clash.musicxml',
      '',
      `<note><pitch><step>C</step><alter>1</alter><octave>5</octave></pitch><duration>2</duration><voice>1</voice>${HARMONIC}</note>` +
        `<note><chord/><pitch><step>C</step><octave>5</octave></pitch><duration>2</duration><voice>1</voice></note>`,
    );
    const out = join(folder, 'mended-harmonic.musicxml');
    const { code } = run('mend', clash, '--out', out, '--harmonics', 'sounding');
    expect(code).toBe(0);
    const read = readPart('mended.musicxml', readFileSync(out), { harmonics: 'sounding' });
    if (!read.ok) throw new Error('the mended part could not be read');
    const { plucks } = read.value.passage;
    const harmonics = plucks.filter((p) => p.technique === 'harmonic');
    // The string an octave below what is written: MIDI 61 sounds 73, as it did.
    expect(harmonics.map((p) => midiOf(p.pitch))).toEqual([61]);
    expect(run('check', out, '--harmonics', 'sounding').code).toBe(0);
  });

  it('says beside a printed or sounded part that it cannot be played', async () => {
    const far = file(
      'far.musicxml',
      '',
      note('C', 2) +
        `<note><chord/><pitch><step>C</step><octave>9</octave></pitch><duration>2</duration><voice>1</voice></note>`,
    );
    const wav = join(folder, 'far.wav');
    for (const args of [
      ['render', far, '--out', wav],
      ['page', far, '--out', join(folder, 'far')],
    ]) {
      let err = '';
      await runAll(args, { out: () => undefined, err: (t) => (err += t) });
      expect(err.trim().split('\n')).toHaveLength(1);
      expect(err).toMatch(/1 place in it cannot be played.*mend.*reduce/);
    }
    expect(run('render', sounding, '--out', wav).err).toBe('');
  });
});

describe('the terminal', () => {
  it('without a call says in one sentence how to get help', () => {
    const { code, out, err } = run();
    expect([code, out, err.trim().split('\n').length]).toEqual([2, '', 1]);
    expect(err).toContain('--help');
  });

  it('shows every option of every call in lines that a terminal shows whole', () => {
    const { code, out } = run('--help');
    expect(code).toBe(0);
    expect(out.split('\n').filter((line) => line.length > 110)).toEqual([]);
    for (const call of [
      'propose',
      'check',
      'mend',
      'pedals',
      'two-harps',
      'reduce',
      'render',
      'gliss',
      'page',
    ])
      expect(out).toMatch(new RegExp(`^  harpwright ${call} `, 'm'));
    for (const option of ['--melody', '--fix', '--emergencies', '--difficulty', '--paper'])
      expect(out).toContain(option);
  });

  it('is quiet where the reader has gone, and only then', () => {
    const stream = new EventEmitter();
    endQuietly(stream);
    expect(() => stream.emit('error', Object.assign(new Error('closed'), { code: 'EPIPE' }))).not.toThrow();
    expect(() => stream.emit('error', Object.assign(new Error('full'), { code: 'ENOSPC' }))).toThrow('full');
  });
});
