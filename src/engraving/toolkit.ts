/** The engraver's program, started quietly. */

import type { VerovioToolkit } from 'verovio/esm';
import { type Result, fail } from '../base/result';

export type Toolkit = VerovioToolkit;

/** What the engraver could not take, as a problem. */
export const refused = (value: string): Result<never> =>
  fail({
    code: 'engraving',
    severity: 'error',
    where: { kind: 'file' },
    value,
    limit: 'MusicXML, score-partwise',
    source: 'MusicXML 4.0',
  });

/** 7 MB of program: once, lazily, off the main thread. */
export async function startToolkit(): Promise<Toolkit> {
  const [wasm, esm] = await Promise.all([import('verovio/wasm'), import('verovio/esm')]);
  const module = await wasm.default();
  // Its remarks go to the console otherwise; what matters is in the answer.
  esm.enableLog(esm.LOG_OFF, module);
  return new esm.VerovioToolkit(module);
}
