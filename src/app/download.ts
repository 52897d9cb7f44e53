/** Files that the user takes away. */

import { perform } from '../harp/performance';
import { writeMidi } from '../interchange/midi-write';
import { type MusicXmlOptions, writeMusicXml } from '../interchange/musicxml-write';
import { writeMxl } from '../interchange/mxl-write';
import { soundFile } from '../playback/sound-file';
import type { Sheet } from './sheet';

/** 'lamplight-on-the-quay-rolled-chords': title and family, as a file name that every system takes. */
export function fileStem(title: string, family: string): string {
  const slug = (text: string): string =>
    text
      .normalize('NFKD')
      .replaceAll(/\p{M}/gu, '')
      .toLowerCase()
      .replaceAll(/[^a-z0-9]+/g, '-')
      .replaceAll(/^-|-$/g, '');
  const parts = [slug(title).slice(0, 60), slug(family)].filter((part) => part !== '');
  return parts.join('-') || 'harp-part';
}

function offer(name: string, bytes: Uint8Array | string, type: string): void {
  const data = typeof bytes === 'string' ? bytes : new Uint8Array(bytes);
  const url = URL.createObjectURL(new Blob([data], { type }));
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  // The browser has taken the bytes by the time that the next task but some runs.
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}

/** Bytes under a name of their own. */
export const offerBytes = (name: string, bytes: Uint8Array, type: string): void => offer(name, bytes, type);

/** A text under the title's name and a suffix, '.json' and the like. */
export function offerText(title: string, suffix: string, text: string, type: string): void {
  offer(`${fileStem(title, '')}${suffix}`, text, type);
}

/** `look` is how the score is printed: the file is printed the same way. */
export function downloadMusicXml(sheet: Sheet, look: MusicXmlOptions = {}): void {
  const { planned, family } = sheet;
  offer(
    `${fileStem(planned.passage.title, family)}.musicxml`,
    writeMusicXml(planned, look),
    'application/vnd.recordare.musicxml+xml',
  );
}

/** The same as a compressed file. */
export function downloadMxl(sheet: Sheet, look: MusicXmlOptions = {}): void {
  const { planned, family } = sheet;
  offer(
    `${fileStem(planned.passage.title, family)}.mxl`,
    writeMxl(writeMusicXml(planned, look)),
    'application/vnd.recordare.musicxml',
  );
}

export function downloadMidi(sheet: Sheet): void {
  const { planned, family } = sheet;
  offer(`${fileStem(planned.passage.title, family)}.mid`, writeMidi(planned), 'audio/midi');
}

/**
 * The part as a 48 kHz WAV file, mixed in a worker: the bytes that the terminal's `render` writes for it.
 * `dry` leaves out room and unevenness. Rejects where there is no memory for it.
 */
export async function downloadWav(sheet: Sheet, dry: boolean): Promise<void> {
  const { planned, family } = sheet;
  const bytes = await soundFile(perform(planned), { dry });
  offer(`${fileStem(planned.passage.title, family)}.wav`, bytes, 'audio/wav');
}
