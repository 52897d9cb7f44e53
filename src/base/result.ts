/** Success with a value, or a list of problems: no stage throws or answers null for what a user did. */

import type { Problem } from './problem';

export type Result<T, P = Problem> =
  { readonly ok: true; readonly value: T } | { readonly ok: false; readonly problems: readonly P[] };

export const ok = <T>(value: T): Result<T, never> => ({ ok: true, value });
export const fail = <P>(...problems: readonly P[]): Result<never, P> => ({ ok: false, problems });
