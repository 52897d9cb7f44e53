/** `render`: a part as sound, written as a WAV file. */

import { dirname, basename } from 'node:path';
import { perform } from '../harp/performance';
import { checkPart } from '../proposals/check';
import { renderWav } from '../sound/render-wav';
import { UsageError, optionText, parse } from './args';
import { writeInto } from './files';
import type { Answer } from './output';
import { PART_OPTIONS, partOption } from './part-options';
import { unplayableNote } from './problems';

const OPTIONS = {
  ...PART_OPTIONS,
  out: { type: 'string' },
  dry: { type: 'boolean' },
} as const;

export function renderCall(args: readonly string[]): Answer {
  const parsed = parse(args, OPTIONS);
  const out = optionText(parsed, 'out');
  if (out === null || !out.toLowerCase().endsWith('.wav')) {
    throw new UsageError('Name the sound file to write: --out FILE.wav.');
  }
  const read = partOption(parsed, 'to sound');
  const { planned, problems } = checkPart(read);
  const notes = perform(planned);
  if (notes.length === 0) throw new UsageError(`“${read.path}”: the part has no notes to sound.`);
  const sound = renderWav(notes, { dry: parsed.values.dry === true });
  const { bytes, seconds } = sound;
  writeInto(dirname(out), [{ name: basename(out), bytes }]);
  return {
    json: { seconds, peak: sound.peak, notes: notes.length },
    text: `${out}: ${seconds.toFixed(1)} s, peak ${sound.peak.toFixed(2)}. Start quietly: headphones can be loud.`,
    note: unplayableNote(read.path, problems),
    problemsFound: false,
  };
}
