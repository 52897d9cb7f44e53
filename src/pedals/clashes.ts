/** Letters that a passage writes in two inflections at one onset. */

import type { Problem } from '../base/problem';
import type { Ticks } from '../base/units';
import type { Instrument } from '../harp/instrument';
import { stringOf } from '../harp/strings';
import type { Passage } from '../music/passage';
import type { Note } from './demand-types';

/** Letters written in two inflections at one onset. */
export function writtenClashes(
  passage: Passage,
  instrument: Instrument,
  severity: Problem['severity'],
): Problem[] {
  const at = new Map<number, Note[]>();
  for (const pluck of passage.plucks) at.set(pluck.onset, [...(at.get(pluck.onset) ?? []), pluck]);
  for (const t of passage.trembles) at.set(t.onset, [...(at.get(t.onset) ?? []), ...t.notes]);
  const out: Problem[] = [];
  for (const [onset, notes] of [...at.entries()].sort((a, b) => a[0] - b[0])) {
    if (notes.length < 2) continue;
    const pedalled = notes.filter((n) => !instrument.discless.includes(stringOf(n.pitch)));
    for (const letter of new Set(pedalled.map((n) => n.pitch.letter))) {
      const mine = pedalled.filter((n) => n.pitch.letter === letter);
      const alters = [...new Set(mine.map((n) => n.pitch.alter))].sort((a, b) => a - b);
      if (alters.length < 2) continue;
      out.push({
        code: 'clash',
        severity,
        where: { kind: 'music', onset: onset as Ticks, ids: mine.map((n) => n.id) },
        value: alters.length,
        limit: 1,
        unit: 'inflections',
        source: 'Berlioz, Grand traité d’instrumentation, p. 85',
        detail: { letter, alters: alters.join(' ') },
      });
    }
  }
  return out;
}
