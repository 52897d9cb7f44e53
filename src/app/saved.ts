/** The page's work as a file of saved work, and back. */

import { type Result, fail, ok } from '../base/result';
import { type SavedPart, type SavedWork, decodeSavedWork, encodeSavedWork } from '../interchange/saved-work';
import type { CheckReport } from '../proposals/check';
import type { Proposal } from '../proposals/types';
import { type PartInput, decodePart, encodePart } from './part-input';
import { DEFAULT_WORK, type Work, decodeWork, encodeWork } from './work';

export interface PageWork {
  readonly work: Work;
  /** The part that was brought, or null. */
  readonly part: PartInput | null;
}

/** The text of the file: what the page keeps, and the parts in view, so that the terminal can read them. */
export function savedText(
  { work, part }: PageWork,
  selected: Proposal | null,
  report: CheckReport | null,
): string {
  const parts: SavedPart[] = [];
  if (selected !== null) {
    const { family, seed, familyName, planned } = selected;
    parts.push({ id: 'proposal', name: familyName, origin: { kind: 'proposal', family, seed }, planned });
  }
  if (report !== null && part?.file != null) {
    const { planned } = report;
    const { name } = part.file;
    parts.push({ id: 'part', name, origin: { kind: 'brought', file: name }, planned });
  }
  const open = work.desk === 'part' ? 'part' : 'proposal';
  const page = {
    work: JSON.parse(encodeWork(work)) as unknown,
    ...(part === null ? {} : { part: JSON.parse(encodePart(part)) as unknown }),
  };
  const saved: SavedWork = {
    input: { ...work.input, families: [...work.input.families] },
    asked: work.asked === null ? null : { ...work.asked, families: [...work.asked.families] },
    parts,
    open: parts.some((p) => p.id === open) ? open : null,
    page,
  };
  return encodeSavedWork(saved);
}

/** The page's work from a file; a file from elsewhere in the same format gives its chords. Fails with one problem. */
export function openSaved(bytes: Uint8Array): Result<PageWork> {
  const saved = decodeSavedWork(bytes);
  if (!saved.ok) return saved;
  const { input, asked, page } = saved.value;
  const work =
    decodeWork(JSON.stringify(page['work'] ?? null)) ??
    decodeWork(JSON.stringify({ ...DEFAULT_WORK, ...page, version: 1, input, asked }));
  if (work === null)
    return fail({
      code: 'work-shape',
      severity: 'error',
      where: { kind: 'file' },
      value: 'input',
      limit: 'it holds no chords that this page can show',
      source: 'common practice',
    });
  const part = page['part'] === undefined ? null : decodePart(JSON.stringify(page['part']));
  return ok({ work, part });
}
