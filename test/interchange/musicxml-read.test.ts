// What other programs write, and what is no music at all.
import fc from 'fast-check';
import { strToU8, zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { readMusicXml } from '../../src/interchange/musicxml-read';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { readPart } from '../../src/interchange/read-part';
import { pedalWords } from '../../src/interchange/musicxml/read/words';
import { writeMxl } from '../../src/interchange/mxl-write';
import type { PlannedPassage } from '../../src/harp/planned';
import { pitchName } from '../../src/music/pitch';
import { sentence } from '../../src/playability/sentences';
import { plannedPassages } from './passages';

const score = (measures: string, name = 'Harp', more = ''): string =>
  `<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0"><part-list><score-part id="P1"><part-name>${name}</part-name></score-part>${more}</part-list><part id="P1">${measures}</part></score-partwise>`;
const start =
  '<attributes><divisions>2</divisions><key><fifths>0</fifths></key><time><beats>2</beats><beat-type>4</beat-type></time></attributes>';
const note = (step: string, octave: number, duration: number, inner = '', extra = ''): string =>
  `<note>${extra}<pitch><step>${step}</step><octave>${octave}</octave></pitch>${
    duration === 0 ? '' : `<duration>${duration}</duration>`
  }<voice>1</voice>${inner}</note>`;

const value = (xml: string | Uint8Array, part?: string) => {
  const read = readMusicXml(xml, part === undefined ? {} : { part });
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.value;
};
const code = (input: string | Uint8Array, part?: string) => {
  const read = readMusicXml(input, part === undefined ? {} : { part });
  if (read.ok) return 'read';
  expect(read.problems).toHaveLength(1);
  return read.problems[0]?.code;
};
const names = (xml: string) => value(xml).passage.plucks.map((p) => pitchName(p.pitch));

describe('reading MusicXML', () => {
  it('unfolds repeats and endings, bar numbers as printed', () => {
    const xml = score(
      `<measure number="1">${start}<barline location="left"><repeat direction="forward"/></barline>${note('C', 4, 4)}</measure>` +
        `<measure number="2"><barline location="left"><ending number="1" type="start"/></barline>${note('D', 4, 4)}<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline></measure>` +
        `<measure number="3"><barline location="left"><ending number="2" type="start"/></barline>${note('E', 4, 4)}<barline location="right"><ending number="2" type="stop"/></barline></measure>` +
        `<measure number="4">${note('F', 4, 4)}<barline location="right"><repeat direction="backward" times="3"/></barline></measure>`,
    );
    expect(names(xml)).toEqual(['C4', 'D4', 'C4', 'E4', 'F4', 'F4', 'F4']);
    expect(value(xml).passage.bars.map((bar) => bar.number)).toEqual(['1', '2', '1', '3', '4', '4', '4']);
    const ids = value(xml).passage.plucks.map((p) => p.id);
    expect(new Set(ids).size).toBe(ids.length);
  });

  it('keeps what a piano part says of its sustaining pedal and of dry notes', () => {
    const pedal = (type: string) =>
      `<direction><direction-type><pedal type="${type}" line="yes"/></direction-type></direction>`;
    const dry = '<notations><articulations><staccato/></articulations></notations>';
    const xml = score(
      `<measure number="1">${start}${pedal('start')}${note('C', 3, 2, dry)}${pedal('change')}${note('D', 3, 2)}</measure>` +
        `<measure number="2">${note('E', 3, 2)}${pedal('stop')}${note('F', 3, 2)}${pedal('start')}</measure>`,
    );
    const { passage } = value(xml);
    expect(passage.staccato).toEqual([passage.plucks[0]?.id]);
    expect(passage.sustain).toEqual([
      { from: 0, to: 3360 },
      { from: 3360, to: 10080 },
    ]);
  });

  it('joins ties, places small notes before the beat, skips cue notes aloud', () => {
    const xml = score(
      `<measure number="1">${start}${note('C', 4, 2, '<notations><tied type="start"/></notations>')}${note('D', 4, 0, '', '<grace/>')}${note('E', 4, 2, '<notations><tied type="start"/></notations>')}</measure>` +
        `<measure number="2">${note('E', 4, 2, '<notations><tied type="stop"/></notations>')}<note><cue/><pitch><step>A</step><octave>4</octave></pitch><duration>2</duration></note></measure>`,
    );
    const { passage, unread } = value(xml);
    expect(passage.plucks.map((p) => [pitchName(p.pitch), p.onset, p.duration])).toEqual([
      ['C4', 0, 3360],
      ['D4', 2940, 420],
      ['E4', 3360, 6720],
    ]);
    expect(unread).toEqual([
      { what: 'cue', text: '', bar: '2', count: 1 },
      { what: 'tie', text: 'without an end', bar: '1', count: 1 },
    ]);
  });

  it('joins ties over gaps and other spellings; what continues nothing is struck, and said', () => {
    const tied = (...types: string[]) => types.map((type) => `<tie type="${type}"/>`).join('');
    const own = (step: string, alter: number, ties: string) =>
      `<note><pitch><step>${step}</step><alter>${alter}</alter><octave>4</octave></pitch><duration>1</duration>${ties}<voice>1</voice></note>`;
    const xml = score(
      `<measure number="1">${start}${own('F', 1, tied('start'))}${own('C', 0, '')}${own('G', -1, tied('stop'))}${own('A', 0, tied('stop'))}</measure>` +
        // Struck anew in between: the stop continues nothing.
        `<measure number="2">${own('D', 0, tied('start'))}${own('D', 0, '')}${own('D', 0, tied('stop'))}</measure>`,
    );
    const { passage, unread } = value(xml);
    const bar = passage.bars[1]?.start ?? 0;
    const unit = (passage.plucks[1]?.onset ?? 0) - (passage.plucks[0]?.onset ?? 0);
    expect(passage.plucks.map((p) => [pitchName(p.pitch), p.onset, p.duration])).toEqual([
      ['F♯4', 0, 3 * unit],
      ['C4', unit, unit],
      ['A4', 3 * unit, unit],
      ['D4', bar, unit],
      ['D4', bar + unit, unit],
      ['D4', bar + 2 * unit, unit],
    ]);
    expect(unread).toEqual([
      { what: 'tie', text: 'without a beginning', bar: '1', count: 2 },
      { what: 'tie', text: 'without an end', bar: '2', count: 1 },
    ]);
  });

  it('takes a glissando to an ordinary note as a sweep that stops before it', () => {
    const line = (type: string) => `<notations><glissando type="${type}" number="1"/></notations>`;
    const xml = score(
      `<measure number="1">${start}${note('C', 4, 2, line('start'))}${note('C', 6, 2, line('stop'))}</measure>`,
    );
    const { sweeps, plucks } = value(xml).passage;
    expect(sweeps.map((s) => [s.from, s.to, s.onset, s.duration])).toEqual([[21, 34, 0, 3360]]);
    expect(plucks.map((p) => pitchName(p.pitch))).toEqual(['C6']);
  });

  it('reads pedal words in letters and syllables', () => {
    const one = (letter: string, to: number) => [{ letter, to }];
    expect(pedalWords('E♭')).toEqual(one('E', -1));
    expect(pedalWords('Bb')).toEqual(one('B', -1));
    expect(pedalWords('F#')).toEqual(one('F', 1));
    expect(pedalWords('mi♭')).toEqual(one('E', -1));
    expect(pedalWords('Ré ♯')).toEqual(one('D', 1));
    expect(pedalWords('sol #')).toEqual(one('G', 1));
    expect(pedalWords('F♯ C♮')).toEqual([...one('F', 1), ...one('C', 0)]);
    for (const text of ['Allegro', 'dolce', 'A', 'E', 'Eb7', 'ab', 'la table', 'Do', 'B']) {
      expect(pedalWords(text), text).toBeNull();
    }
  });

  it('reads words for techniques until they end, and keeps the rest', () => {
    const words = (text: string) =>
      `<direction><direction-type><words>${text}</words></direction-type></direction>`;
    const xml = score(
      `<measure number="1">${start}${words('près de la table')}${note('C', 4, 2)}${words('ord.')}${note('D', 4, 2)}</measure>` +
        `<measure number="2">${words('sons étouffés')}${note('E', 4, 2)}${words('dolce')}${note('F', 4, 2)}</measure>`,
    );
    const { passage, unread } = value(xml);
    expect(passage.plucks.map((p) => p.technique)).toEqual(['table', 'ordinary', 'etouffe', 'etouffe']);
    expect(unread).toEqual([]);
    expect(passage.words).toEqual([{ onset: 10080, text: 'dolce', staff: 1 }]);
  });

  it('takes harmonics at string pitch, those written at sounding pitch an octave down', () => {
    const harmonic = (where: string) =>
      `<notations><technical><harmonic><natural/><${where}/></harmonic></technical></notations>`;
    const xml = score(
      `<measure number="1">${start}${note('C', 4, 2, harmonic('base-pitch'))}${note('C', 5, 2, harmonic('sounding-pitch'))}</measure>`,
    );
    expect(names(xml)).toEqual(['C4', 'C4']);
    expect(value(xml).passage.plucks.map((p) => p.technique)).toEqual(['harmonic', 'harmonic']);
  });

  it('applies octave transposition and refuses any other', () => {
    const transposed = (chromatic: number) =>
      score(
        `<measure number="7">${start.replace('</attributes>', `<transpose><chromatic>${chromatic}</chromatic></transpose></attributes>`)}${note('C', 4, 4)}</measure>`,
      );
    expect(names(transposed(-12))).toEqual(['C3']);
    const read = readMusicXml(transposed(-2));
    expect(read).toMatchObject({ ok: false, problems: [{ code: 'part-transposed', where: { bar: '7' } }] });
  });

  it('picks a part by name, number, or because it is a harp', () => {
    const two = score(
      `<measure number="1">${start}${note('C', 5, 4)}</measure>`,
      'Flute',
      '<score-part id="P2"><part-name>Arpa</part-name></score-part>',
    ).replace(
      '</score-partwise>',
      `<part id="P2"><measure number="1">${start}${note('G', 3, 4)}</measure></part></score-partwise>`,
    );
    expect(value(two).partName).toBe('Arpa');
    expect(value(two, 'flute').partName).toBe('Flute');
    expect(value(two, '1').partName).toBe('Flute');
    expect(code(two, 'Tuba')).toBe('part-missing');
  });

  it('reads timewise scores, UTF-16 and zips as the same part', () => {
    fc.assert(
      fc.property(plannedPassages, (planned) => {
        const xml = writeMusicXml(planned);
        const plain = value(xml);
        const measures = [...xml.matchAll(/<measure ([^>]*)>([\s\S]*?)<\/measure>/g)].map(
          (m) => `<measure ${m[1]}><part id="P1">${m[2]}</part></measure>`,
        );
        const timewise = xml
          .replace(/<part id[\s\S]*<\/part>\s*<\/score-partwise>/, `${measures.join('')}</score-timewise>`)
          .replace('<score-partwise', '<score-timewise');
        expect(value(timewise)).toEqual(plain);
        const utf16 = new Uint8Array(2 + 2 * xml.length);
        utf16.set([0xfe, 0xff]);
        for (let i = 0; i < xml.length; i++)
          utf16.set([xml.charCodeAt(i) >> 8, xml.charCodeAt(i) & 255], 2 + 2 * i);
        expect(value(utf16)).toEqual(plain);
        const container = '<container><rootfiles><rootfile full-path="a/part.xml"/></rootfiles></container>';
        const zip = zipSync({
          'META-INF/container.xml': strToU8(container),
          'a/part.xml': utf16,
          'z.xml': strToU8('<a/>'),
        });
        expect(value(zip)).toEqual(plain);
      }),
      { numRuns: 10, seed: 2 },
    );
  });
});

describe('bad input', () => {
  it('is one problem each', () => {
    const good = score(`<measure number="1">${start}${note('C', 4, 4)}</measure>`);
    expect(code('')).toBe('file-empty');
    expect(code(new Uint8Array())).toBe('file-empty');
    expect(code('   ')).toBe('file-empty');
    expect(code('dear harpist')).toBe('xml-broken');
    expect(code('<html></html>')).toBe('not-musicxml');
    expect(code(good.slice(0, 200))).toBe('xml-broken');
    expect(code('<score-partwise><part-list/></score-partwise>')).toBe('part-empty');
    expect(code(`<a>${'<b>'.repeat(100_000)}`)).toBe('xml-too-deep');
    expect(code(new Uint8Array([0x3c, 0xff, 0xfe, 0x80, 0x81]))).toBe('file-encoding');
    expect(code(new Uint8Array([0x50, 0x4b, 3, 4, 1, 2, 3]))).toMatch(/^zip/);
    expect(code(zipSync({ 'readme.txt': strToU8('no music') }))).toBe('zip-no-score');
    const bomb =
      '<!DOCTYPE a [<!ENTITY x "xxxxxxxxxx"><!ENTITY y "&x;&x;&x;&x;&x;&x;&x;&x;">]><score-partwise>&y;</score-partwise>';
    expect(code(bomb)).toBe('xml-broken');
  });

  it('says what is wrong with an .mxl', () => {
    const said = (bytes: Uint8Array): string => {
      const answer = readMusicXml(bytes);
      return answer.ok ? '' : sentence(answer.problems[0] as (typeof answer.problems)[number], []);
    };
    const container = (path: string) =>
      strToU8(`<container><rootfiles><rootfile full-path="${path}"/></rootfiles></container>`);
    const xml = strToU8(
      writeMusicXml(fc.sample(plannedPassages, { numRuns: 1, seed: 5 })[0] as PlannedPassage),
    );
    const whole = writeMxl(new TextDecoder().decode(xml));
    expect(said(whole)).toBe('');
    expect(said(whole.subarray(0, whole.length >> 1))).toContain(
      'cut short, or its list of contents is damaged',
    );
    const hurt = whole.slice();
    const at = hurt.length >> 1;
    for (let i = 0; i < 8; i++) hurt[at + i] = (hurt[at + i] ?? 0) ^ 0x55;
    expect(said(hurt)).toMatch(
      /damaged: “score.musicxml” (cannot be unpacked|is not what was packed|is cut short)/,
    );
    expect(said(hurt)).not.toContain('well-formed');
    const stored = zipSync({ 'a.xml': xml }, { level: 0 });
    const changed = stored.slice();
    changed[60] = 0x20;
    expect(said(changed)).toContain('“a.xml” is not what was packed: its checksum differs');
    expect(said(zipSync({ 'META-INF/container.xml': container('gone.xml') }))).toContain(
      'holds no score: its container names “gone.xml”, which is not in it',
    );
    expect(said(zipSync({ 'readme.txt': xml }))).toContain('no META-INF/container.xml names one');
    // What the container misses is found all the same.
    expect(said(zipSync({ 'META-INF/container.xml': container('gone.xml'), 'score.xml': xml }))).toBe('');
    const locked = zipSync({ 'a.xml': xml });
    const end = locked.length - 22;
    const directory = new DataView(locked.buffer, locked.byteOffset).getUint32(end + 16, true);
    locked[directory + 8] = (locked[directory + 8] ?? 0) | 1;
    expect(said(locked)).toContain('locked by a password');
  });

  it('stops a zip bomb soon', () => {
    const zip = zipSync({ 'score.xml': new Uint8Array(70 * 1024 * 1024) }, { level: 6 });
    expect(zip.byteLength).toBeLessThan(400_000);
    expect(code(zip)).toBe('file-too-large');
  });

  it('never throws for damaged files', () => {
    const samples = fc
      .sample(plannedPassages, { numRuns: 4, seed: 9 })
      .map((planned) => strToU8(writeMusicXml(planned)));
    const zipped = samples.map((bytes) => zipSync({ 'score.musicxml': bytes }));
    let refused = 0;
    fc.assert(
      fc.property(
        fc.constantFrom(...samples, ...zipped),
        fc.array(fc.tuple(fc.double({ min: 0, max: 1, noNaN: true }), fc.nat(255)), {
          minLength: 1,
          maxLength: 6,
        }),
        fc.double({ min: 0.1, max: 1.5, noNaN: true }),
        (bytes, changes, keep) => {
          const copy = bytes.slice(0, Math.ceil(bytes.length * Math.min(1, keep)));
          for (const [where, to] of changes) copy[Math.floor(where * (copy.length - 1))] = to;
          const read = readPart('x.musicxml', copy);
          if (!read.ok) {
            refused++;
            expect(read.problems).toHaveLength(1);
          }
        },
      ),
      { numRuns: 400, seed: 12 },
    );
    expect(refused).toBeGreaterThan(100);
  });
});
