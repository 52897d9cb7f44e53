// How a part is read from the terminal: transposing parts and harmonics, in every call that reads one.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { main } from '../../src/cli/main';

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
});
