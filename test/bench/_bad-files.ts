// Files that are broken, hostile or as large as is read, and files a little larger than that.
import { strToU8, zipSync } from 'fflate';

const MEBIBYTE = 1024 * 1024;

/** A score of so many notes, split over parts. */
function scoreOf(notes: number, perBar: number, parts = 1): string {
  const note = (i: number): string =>
    `<note><pitch><step>${'CDEFGAB'[i % 7]}</step><octave>${3 + (i % 3)}</octave></pitch><duration>1</duration><voice>1</voice><type>16th</type></note>`;
  const bars = Array.from({ length: Math.ceil(notes / parts / perBar) }, (_, bar) => {
    const inner = Array.from({ length: perBar }, (_note, i) => note(bar + i)).join('');
    const start = bar === 0 ? '<attributes><divisions>4</divisions></attributes>' : '';
    return `<measure number="${bar + 1}">${start}${inner}</measure>`;
  }).join('');
  const ids = Array.from({ length: parts }, (_, i) => `P${i + 1}`);
  const names = ids.map((id) => `<score-part id="${id}"><part-name>${id}</part-name></score-part>`).join('');
  const music = ids.map((id) => `<part id="${id}">${bars}</part>`).join('');
  return `<score-partwise><part-list>${names}</part-list>${music}</score-partwise>`;
}

/** A Standard MIDI File of format 0: so many short notes, four bytes of them with running status. */
function midiOf(notes: number): Uint8Array {
  const track = new Uint8Array(1 + 6 * notes + 4);
  let at = 0;
  for (let i = 0; i < notes; i++) {
    const key = 40 + (i % 40);
    track.set(i === 0 ? [0, 0x90, key, 64, 96, key, 0] : [0, key, 64, 96, key, 0], at);
    at += i === 0 ? 7 : 6;
  }
  track.set([0, 0xff, 0x2f, 0], at);
  const out = new Uint8Array(22 + at + 4);
  out.set([...strToU8('MThd'), 0, 0, 0, 6, 0, 0, 0, 1, 0, 96, ...strToU8('MTrk')]);
  new DataView(out.buffer).setUint32(18, at + 4);
  out.set(track.subarray(0, at + 4), 22);
  return out;
}

const attributes = (count: number, width: number): string =>
  Array.from({ length: count }, (_, i) => ` a${i.toString(width)}="12"`).join('');

/** Each with what it is and the name that it comes under. */
export const BAD_FILES: readonly (readonly [what: string, file: string, make: () => Uint8Array])[] = [
  ['empty', 'a.musicxml', () => new Uint8Array(0)],
  ['not music: a page of HTML', 'a.xml', () => strToU8('<html><body>Harp</body></html>')],
  ['not music: 15 MiB of noise', 'a.mxl', () => Uint8Array.from({ length: 15 * MEBIBYTE }, (_, i) => i * i)],
  ['1,600 bars of twelve notes', 'a.musicxml', () => strToU8(scoreOf(19_200, 12))],
  ['the same, truncated', 'a.musicxml', () => strToU8(scoreOf(19_200, 12).slice(0, -3000))],
  ['30 parts of 1,300 notes', 'a.musicxml', () => strToU8(scoreOf(39_000, 13, 30))],
  ['one wrong byte at the end', 'a.musicxml', () => strToU8(scoreOf(19_200, 12)).fill(0xff, -100, -99)],
  ['5,000 bars of twelve notes', 'a.musicxml', () => strToU8(scoreOf(60_000, 12))],
  ['61,000 notes', 'a.musicxml', () => strToU8(scoreOf(61_000, 10))],
  ['100,000 notes', 'a.musicxml', () => strToU8(scoreOf(100_000, 16))],
  ['25 MiB of text', 'a.musicxml', () => strToU8(`<a>${' '.repeat(25 * MEBIBYTE)}</a>`)],
  ['19 MiB of text', 'a.musicxml', () => strToU8(`<a>${' '.repeat(19 * MEBIBYTE)}</a>`)],
  [
    'entity bomb',
    'a.musicxml',
    () =>
      strToU8(
        `<!DOCTYPE a [<!ENTITY x "xx">${'<!ENTITY y "&x;&x;">'.repeat(10_000)}]><score-partwise>&y;</score-partwise>`,
      ),
  ],
  ['500,000 elements deep', 'a.musicxml', () => strToU8('<a>'.repeat(500_000))],
  ['19 MiB of references', 'a.musicxml', () => strToU8(`<a>${'&amp;'.repeat((19 * MEBIBYTE) / 5)}`)],
  ['a million attributes', 'a.musicxml', () => strToU8(`<a${attributes(1_400_000, 36)}/>x`)],
  [
    '58,000 elements of 40 attributes',
    'a.musicxml',
    () => strToU8(`<a>${`<b${attributes(40, 10)}/>`.repeat(58_000)}</b>`),
  ],
  ['zip bomb, one entry of 300 MiB', 'a.mxl', () => zipSync({ 'a.xml': new Uint8Array(300 * MEBIBYTE) })],
  [
    'zip bomb, 60 entries of 5 MiB',
    'a.mxl',
    () => {
      const zeros = new Uint8Array(5 * MEBIBYTE);
      return zipSync(Object.fromEntries(Array.from({ length: 60 }, (_, i) => [`${i}.xml`, zeros])));
    },
  ],
  ['MIDI, 20,000 notes', 'a.mid', () => midiOf(20_000)],
  ['MIDI, 60,000 notes', 'a.mid', () => midiOf(60_000)],
  ['MIDI, 125,000 notes', 'a.mid', () => midiOf(125_000)],
  ['MIDI, 15 MiB', 'a.mid', () => midiOf(2_500_000)],
  ['MIDI, cut', 'a.mid', () => midiOf(20_000).subarray(0, 60_000)],
  ['JSON, a million deep', 'a.json', () => strToU8(`{"format":${'['.repeat(1_000_000)}`)],
  [
    'saved work, 15 MiB that is none',
    'a.json',
    () => strToU8(`{"format":"harpwright","version":1,"parts":[${'{"id":1},'.repeat(1_700_000)}0]}`),
  ],
  ['JSON, 40 MiB', 'a.json', () => strToU8(`{"format":"${'x'.repeat(40 * MEBIBYTE)}"}`)],
];
