/** `render`: a part as sound, written as a WAV file. */

import { dirname, basename } from 'node:path';
import { perform } from '../harp/performance';
import { checkPart } from '../proposals/check';
import { renderWav } from '../sound/render-wav';
import { UsageError, onePositional, optionText, parse, tempoOption, READ_OPTIONS, readOptions } from './args';
import { readPartFile, writeInto } from './files';
import type { Answer } from './output';
import { atTempo } from './pedals';

const OPTIONS = {
  ...READ_OPTIONS,
  tempo: { type: 'string' },
  out: { type: 'string' },
  dry: { type: 'boolean' },
} as const;

export function renderCall(args: readonly string[]): Answer {
  const parsed = parse(args, OPTIONS);
  const path = onePositional(parsed, 'one file: .musicxml, .xml, .mxl or .mid');
  const out = optionText(parsed, 'out');
  if (out === null || !out.toLowerCase().endsWith('.wav')) {
    throw new UsageError('Name the sound file to write: --out FILE.wav.');
  }
  const tempo = tempoOption(parsed);
  const read = readPartFile(path, readOptions(parsed));
  const { planned } = checkPart({ ...read, passage: atTempo(read.passage, tempo) });
  const notes = perform(planned);
  if (notes.length === 0) throw new UsageError(`“${path}”: the part has no notes to sound.`);
  const sound = renderWav(notes, { dry: parsed.values.dry === true });
  const { bytes, seconds } = sound;
  writeInto(dirname(out), [{ name: basename(out), bytes }]);
  return {
    json: { seconds, peak: sound.peak, notes: notes.length },
    text: `${out}: ${seconds.toFixed(1)} s, peak ${sound.peak.toFixed(2)}. Start quietly: headphones can be loud.`,
    problemsFound: false,
  };
}
