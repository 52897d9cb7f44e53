/** A part in which nothing is plucked, swept or trembled, and why. */

import type { Problem } from '../base/problem';
import type { ReadPart } from '../interchange/read-part';

/** What the reader leaves out because it has no pitch. */
const UNPITCHED = { what: 'note', text: 'unpitched' } as const;

/**
 * Null for a part with notes. Else an error, code `part-silent`, of the whole file: `kind` `percussion` with the
 * count of `notes` that have no pitch, or `empty`. `value` is the part's name.
 */
export function silentPart(read: Pick<ReadPart, 'passage' | 'partName' | 'unread'>): Problem | null {
  const { plucks, sweeps, trembles } = read.passage;
  if (plucks.length + sweeps.length + trembles.length > 0) return null;
  const drums = read.unread.find((u) => u.what === UNPITCHED.what && u.text === UNPITCHED.text);
  return {
    code: 'part-silent',
    severity: 'error',
    where: { kind: 'file' },
    value: read.partName,
    limit: 'a part with notes',
    source: 'common practice',
    detail: drums === undefined ? { kind: 'empty' } : { kind: 'percussion', notes: drums.count },
  };
}
