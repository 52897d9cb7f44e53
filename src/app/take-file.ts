/** Files that the user brings, taken for what they are: saved work, a figure, or else a part. */

import { parseFigure } from '../figures/language';
import { sentence } from '../playability/sentences';
import type { Problem } from '../base/problem';
import type { PartDesk } from './part.svelte';
import { openSaved } from './saved';
import type { App } from './state.svelte';
import { LARGEST_FIGURE, MOST_FIGURES } from './work';

interface Desks {
  readonly app: App;
  readonly part: PartDesk;
}
/** A sentence about a file that cannot be taken; null where it was. */
type Told = Promise<string | null>;

const gone = (file: File): string =>
  `“${file.name}” cannot be opened: it may have been moved since it was chosen.`;
const told = (file: File, problems: readonly Problem[], else_: string): string =>
  `“${file.name}”: ${problems[0] === undefined ? else_ : sentence(problems[0], [])}`;

/** Opens saved work: chords and part as they were, what was there before an undo away. */
export async function takeWork(file: File, { app, part }: Desks): Told {
  const bytes = await file.arrayBuffer().catch(() => null);
  if (bytes === null) return gone(file);
  const read = openSaved(new Uint8Array(bytes));
  if (!read.ok) return told(file, read.problems, 'this is not saved work.');
  app.change({ kind: 'open', work: read.value.work });
  if (read.value.part !== null) part.restore(read.value.part);
  return null;
}

/** Adds a figure of the user's own; one with the same id gives way to it. */
export async function takeFigure(file: File, { app }: Pick<Desks, 'app'>): Told {
  const own = app.view.input.figures;
  if (file.size > LARGEST_FIGURE)
    return `“${file.name}” is too long for a figure: at most ${LARGEST_FIGURE / 1024} KiB.`;
  if (own.length >= MOST_FIGURES) return `There are ${MOST_FIGURES} figures already: take one out first.`;
  const text = await file.text().catch(() => null);
  if (text === null) return gone(file);
  const read = parseFigure(text);
  if (!read.ok) return told(file, read.problems, 'this is not a figure.');
  const { id } = read.value;
  const others = own.filter((f) => {
    const known = parseFigure(f);
    return !known.ok || known.value.id !== id;
  });
  app.change({ kind: 'input', part: { figures: [...others, text] }, step: null });
  return null;
}

/** Whether a text is a figure's rather than anything else's: it says what only a figure says. */
const likeFigure = (text: string): boolean => /"variants"\s*:/.test(text);

/** A file dropped anywhere on the page. A part that cannot be read is told of at its desk. */
export async function takeAnything(file: File, desks: Desks): Told {
  if (/\.json$/i.test(file.name)) {
    const text = file.size > LARGEST_FIGURE ? '' : await file.text().catch(() => '');
    if (!likeFigure(text)) return takeWork(file, desks);
    const fault = await takeFigure(file, desks);
    if (fault === null) desks.app.change({ kind: 'desk', desk: 'chords' });
    return fault;
  }
  desks.app.change({ kind: 'desk', desk: 'part' });
  await desks.part.bring(file);
  return null;
}
