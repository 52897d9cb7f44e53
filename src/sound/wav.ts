/** Writes plain PCM WAV (RIFF WAVE, format 1), 16 or 24 bit, stereo. */

export interface WavOptions {
  /** 16 unless given. */
  readonly bits?: 16 | 24;
}

/** Samples in −1 … 1 (clipped beyond), left and right of one length, as a file's bytes. */
export function writeWav(
  left: Float32Array,
  right: Float32Array,
  sampleRate: number,
  options: WavOptions = {},
): Uint8Array {
  const bytesEach = (options.bits ?? 16) / 8;
  const frames = Math.min(left.length, right.length);
  const dataBytes = frames * 2 * bytesEach;
  const out = new Uint8Array(44 + dataBytes);
  const view = new DataView(out.buffer);
  const word = (at: number, text: string): void => {
    for (let i = 0; i < text.length; i++) out[at + i] = text.charCodeAt(i);
  };
  word(0, 'RIFF');
  view.setUint32(4, 36 + dataBytes, true);
  word(8, 'WAVEfmt ');
  view.setUint32(16, 16, true);
  view.setUint16(20, 1, true);
  view.setUint16(22, 2, true);
  view.setUint32(24, sampleRate, true);
  view.setUint32(28, sampleRate * 2 * bytesEach, true);
  view.setUint16(32, 2 * bytesEach, true);
  view.setUint16(34, 8 * bytesEach, true);
  word(36, 'data');
  view.setUint32(40, dataBytes, true);
  const full = bytesEach === 2 ? 32767 : 8388607;
  let at = 44;
  const put = (x: number): void => {
    const clipped = x > 1 ? 1 : x < -1 ? -1 : x;
    const value = Math.floor(clipped * full + 0.5);
    view.setInt16(at, bytesEach === 2 ? value : value & 0xffff, true);
    if (bytesEach === 3) view.setInt8(at + 2, value >> 16);
    at += bytesEach;
  };
  for (let i = 0; i < frames; i++) {
    put(left[i] as number);
    put(right[i] as number);
  }
  return out;
}
