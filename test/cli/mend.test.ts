// `mend` in the terminal: the contract's keys and exit codes, the file read back, what is not changed left alone.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { main } from '../../src/cli/main';
import { writeMidi } from '../../src/interchange/midi-write';
import { planned } from '../playability/build';

const folder = mkdtempSync(join(tmpdir(), 'harpwright-mend-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function run(...args: string[]): { code: number; out: string; err: string } {
  let out = '';
  let err = '';
  const code = main(args, { out: (t) => (out += t), err: (t) => (err += t) });
  return { code, out, err };
}
const at = (name: string) => join(folder, name);
const json = (...args: string[]) => {
  const { code, out } = run(...args, '--json');
  return { code, answer: JSON.parse(out) };
};

const note = (step: string, octave: number, more = '', alter = 0) =>
  `<note>${more.includes('chord') ? '<chord/>' : ''}<pitch><step>${step}</step>${alter === 0 ? '' : `<alter>${alter}</alter>`}<octave>${octave}</octave></pitch><duration>4</duration><voice>VOICE</voice><type>whole</type><staff>STAFF</staff></note>`;
const right = (text: string) => text.replaceAll('VOICE', '1').replaceAll('STAFF', '1');
const left = (text: string) => text.replaceAll('VOICE', '5').replaceAll('STAFF', '2');
const back = '<backup><duration>4</duration></backup>';

/** A wide chord, then two inflections of E; words, dynamics, a rehearsal mark, a cue and layout hints around them. */
const SCORE = `<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0">
  <work><work-title>Two bars</work-title></work>
  <part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list>
  <part id="P1">
    <measure number="1" width="240">
      <print new-system="yes"/>
      <attributes><divisions>1</divisions><key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves></attributes>
      <direction placement="above"><direction-type><rehearsal>A</rehearsal></direction-type></direction>
      <direction placement="above"><direction-type><words font-style="italic">dolce, come da lontano</words></direction-type><sound tempo="72"/></direction>
      <direction placement="below"><direction-type><dynamics><mp/></dynamics></direction-type></direction>
      ${right(note('C', 4) + note('E', 5, 'chord') + note('G', 5, 'chord'))}
      ${back}
      ${left(note('A', 2))}
    </measure>
    <measure number="2">
      <!-- keep me -->
      ${right(note('E', 5))}
      ${back}
      ${left(note('E', 3, '', -1))}
    </measure>
  </part>
</score-partwise>
`;

describe('mend', () => {
  writeFileSync(at('two.musicxml'), SCORE);

  it('answers what changed, leaves no error, and offers repairs', () => {
    expect(run('check', at('two.musicxml')).code).toBe(1);
    const { code, answer } = json('mend', at('two.musicxml'), '--out', at('deep/er/two.musicxml'));
    expect(code).toBe(0);
    expect(answer.remaining).toEqual([]);
    expect(answer.changes.map((c: { code: string }) => c.code)).toEqual(['hand', 'respell']);
    for (const change of answer.changes) {
      expect(change).toMatchObject({
        bar: expect.any(String),
        beat: expect.any(Number),
        message: expect.any(String),
      });
      expect(change.message).toMatch(/^Bar \d, beat 1: .+\.$/);
    }
    expect(answer.repairs).toHaveLength(2);
    for (const r of answer.repairs) expect(r.offers.length).toBeGreaterThan(1);
    expect(
      json('check', at('deep/er/two.musicxml')).answer.problems.filter(
        (p: { severity: string }) => p.severity === 'error',
      ),
    ).toEqual([]);
  });

  it('leaves text, dynamics, rehearsal marks, layout and comments as they were', () => {
    const text = readFileSync(at('deep/er/two.musicxml'), 'utf8');
    for (const kept of [
      '<print new-system="yes"/>',
      '<measure number="1" width="240">',
      '<rehearsal>A</rehearsal>',
      '<words font-style="italic">dolce, come da lontano</words>',
      '<sound tempo="72"/>',
      '<dynamics><mp/></dynamics>',
      '<!-- keep me -->',
      '<work-title>Two bars</work-title>',
    ])
      expect(text).toContain(kept);
    expect(text).not.toContain('harp-pedals');
  });

  it('copies a part without errors', () => {
    run('mend', at('deep/er/two.musicxml'), '--out', at('again.musicxml'));
    expect(readFileSync(at('again.musicxml'), 'utf8')).toBe(readFileSync(at('deep/er/two.musicxml'), 'utf8'));
  });

  it('writes the pedal plan where it is asked to', () => {
    const { code } = json('mend', at('two.musicxml'), '--out', at('pedals.musicxml'), '--pedals');
    expect(code).toBe(0);
    expect(readFileSync(at('pedals.musicxml'), 'utf8').match(/<pedal-tuning>/g)).toHaveLength(7);
    expect(run('check', at('pedals.musicxml')).code).toBe(0);
  });

  it('mends a MIDI file into a score, and into a MIDI file', () => {
    const part = planned([
      { at: 0, names: 'C4 E5 G5 B5' },
      { at: 4, names: 'C2 E2 G2 C3 E3', hand: 'L' },
    ]);
    writeFileSync(at('wide.mid'), writeMidi(part));
    for (const out of ['wide.musicxml', 'wide-mended.mid', 'wide.mxl']) {
      const { code, answer } = json('mend', at('wide.mid'), '--out', at(out));
      expect([out, code, answer.remaining]).toEqual([out, 0, []]);
      expect(answer.changes.length).toBeGreaterThan(0);
      expect(run('check', at(out)).code).toBe(0);
    }
  });

  it('says in one sentence what is missing', () => {
    for (const args of [
      ['mend'],
      ['mend', at('two.musicxml')],
      ['mend', at('two.musicxml'), '--out', at('x.wav')],
      ['mend', at('none.xml'), '--out', at('y.xml')],
    ]) {
      const { code, out, err } = run(...args);
      expect([code, out]).toEqual([2, '']);
      expect(err.trim().split('\n')).toHaveLength(1);
    }
  });
});
