/** Problems of files: one place where their codes are made. */

import type { Problem } from '../base/problem';
import { type Result, fail } from '../base/result';

const MEBIBYTE = 1024 * 1024;
/** More bytes than are read. */
export const tooManyBytes = (size: number, most: number): Result<never> =>
  most < MEBIBYTE
    ? fileProblem('file-too-large', `${Math.ceil(size / 1024)} KiB`, `${most / 1024} KiB`)
    : fileProblem('file-too-large', `${Math.ceil(size / MEBIBYTE)} MiB`, `${most / MEBIBYTE} MiB`);

/** Notes of a part as played: 5,000 bars of twelve; with repeats counted, a file cannot blow up beyond it. */
const MAX_NOTES = 60_000;
/** One problem where a part has more notes than are read. */
export const tooManyNotes = (count: number): Result<never> | null =>
  count > MAX_NOTES ? fileProblem('xml-too-large', `${count} notes`, `${MAX_NOTES} notes`) : null;

/**
 * Codes: `file-empty`, `file-too-large`, `file-kind` (no music format that is read), `file-encoding`,
 * `zip-broken`, `zip-no-score`, `xml-broken`, `xml-too-deep`, `xml-too-large` (MIDI too), `not-musicxml`, `part-missing`,
 * `part-empty`, `part-transposed`, `midi-broken`, `midi-timing`,
 * `work-broken`, `work-kind`, `work-version`, `work-shape`, `work-no-part` (saved work). `value` is what was found, `limit` what is read.
 */
export function fileProblem(
  code: string,
  value: string | number,
  limit: string | number,
  place: { readonly bar?: string; readonly line?: number } = {},
): Result<never> {
  const problem: Problem = {
    code,
    severity: 'error',
    where: { kind: 'file', ...place },
    value,
    limit,
    source: 'common practice',
  };
  return fail(problem);
}
