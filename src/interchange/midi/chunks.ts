/** The outer form of a Standard MIDI File, checked before anything is parsed: a cut file is refused, not read short. */

import { type Result, ok } from '../../base/result';
import { fileProblem, tooManyBytes } from '../problems';

/** 130,000 short notes: as many as are gone through within a second. */
const MAX_BYTES = 768 * 1024;
const MAX_TRACKS = 512;

const WHOLE = 'a whole Standard MIDI File';

export const looksLikeMidi = (bytes: Uint8Array): boolean =>
  bytes[0] === 0x4d && bytes[1] === 0x54 && bytes[2] === 0x68 && bytes[3] === 0x64;

/** Ticks to the quarter and number of tracks; fails on lengths that do not add up or tracks without an end. */
export function checkMidi(
  bytes: Uint8Array,
): Result<{ readonly perQuarter: number; readonly tracks: number }> {
  if (bytes.byteLength > MAX_BYTES) return tooManyBytes(bytes.byteLength, MAX_BYTES);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes.byteLength < 14 || !looksLikeMidi(bytes))
    return fileProblem('midi-broken', 'no MThd header', WHOLE);
  const headerLength = view.getUint32(4);
  const format = view.getUint16(8);
  const tracks = view.getUint16(10);
  const division = view.getUint16(12);
  if (format > 1) return fileProblem('midi-timing', `format ${format}`, 'format 0 or 1');
  if (division === 0 || division >= 0x8000) {
    return fileProblem('midi-timing', 'time code (SMPTE)', 'ticks to the quarter note');
  }
  if (tracks > MAX_TRACKS) return fileProblem('midi-broken', `${tracks} tracks`, `${MAX_TRACKS} tracks`);
  let at = 8 + headerLength;
  let found = 0;
  while (at < bytes.byteLength && found < tracks) {
    if (at + 8 > bytes.byteLength) return fileProblem('midi-broken', 'a cut chunk', WHOLE);
    const isTrack = view.getUint32(at) === 0x4d54726b;
    const end = at + 8 + view.getUint32(at + 4);
    if (end > bytes.byteLength) return fileProblem('midi-broken', `track ${found + 1} is cut short`, WHOLE);
    if (isTrack) {
      found++;
      // FF 2F 00 must be the last event.
      const closed = bytes[end - 3] === 0xff && bytes[end - 2] === 0x2f && bytes[end - 1] === 0;
      if (!closed || end - at < 12) return fileProblem('midi-broken', `track ${found} has no end`, WHOLE);
    }
    at = end;
  }
  if (found < tracks || found === 0) {
    return fileProblem('midi-broken', `${found} of ${tracks} tracks`, WHOLE);
  }
  return ok({ perQuarter: division, tracks });
}
