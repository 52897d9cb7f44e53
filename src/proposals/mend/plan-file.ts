/** A pedal plan as a file: written into the score that the part was read from, all else in it as it was. */

import type { PlannedPassage } from '../../harp/planned';
import { type ScoreEdit, patchMusicXml } from '../../interchange/musicxml-patch';
import { writeMidi } from '../../interchange/midi-write';
import { writeMusicXml } from '../../interchange/musicxml-write';
import type { ReadPart } from '../../interchange/read-part';
import type { Passage } from '../../music/passage';
import type { PedalMarks } from '../marks';
import { scoreEdits } from './score-edits';
import type { Edit } from './types';
import { type MendFileOptions, asKind } from './write';

/** The marks that say a plan: the setting before the first note, and each move. */
export const marksOfPlan = ({ start, moves }: PlannedPassage): PedalMarks => ({
  settings: [{ onset: 0 as PedalMarks['settings'][number]['onset'], setting: start }],
  moves: moves.map(({ onset, letter, to }) => ({ onset, letter, to })),
});

/** The notes that are spelt otherwise in `after`, as edits. */
export function respellings(before: Passage, after: Passage): Edit[] {
  const notes = (p: Passage) => [...p.plucks, ...p.trembles.flatMap((t) => t.notes)];
  const was = new Map(notes(before).map((n) => [n.id, n.pitch]));
  return notes(after).flatMap((n): Edit[] => {
    const old = was.get(n.id);
    const same = old === undefined || (old.letter === n.pitch.letter && old.alter === n.pitch.alter);
    return same ? [] : [{ kind: 'pitch', id: n.id, to: n.pitch }];
  });
}

/** Slides that the plan has and the part had not, as changes to the score; passes of a repeat share their printed note. */
function newSlides(read: ReadPart, after: Passage): ScoreEdit[] {
  const known = new Set((read.passage.slides ?? []).map((s) => `${s.pluck} ${s.onset}`));
  const printed = new Set<string>();
  return (after.slides ?? []).flatMap((slide): ScoreEdit[] => {
    const notes = read.sources.get(slide.pluck) ?? [];
    if (notes.length === 0 || known.has(`${slide.pluck} ${slide.onset}`)) return [];
    const key = JSON.stringify([notes, slide.to]);
    if (printed.has(key)) return [];
    printed.add(key);
    return [{ kind: 'slide', notes, pitch: slide.to, id: slide.id }];
  });
}

/**
 * The bytes of `original`, from which `read` was read, with this plan: its marks in place of those that were there,
 * its spellings, and pedal slides that were asked for. What is no score, or cannot be patched, is written anew.
 */
export function planFile(
  original: Uint8Array,
  read: ReadPart,
  planned: PlannedPassage,
  { kind, harmonics }: Pick<MendFileOptions, 'kind' | 'harmonics'>,
): Uint8Array {
  if (kind === 'midi') return writeMidi(planned);
  const edits = respellings(read.passage, planned.passage);
  const mended = { ...read, passage: planned.passage };
  const changes =
    read.sources.size === 0 ? null : scoreEdits(read, mended, edits, 'voice', marksOfPlan(planned));
  const made =
    changes === null
      ? null
      : patchMusicXml(original, [...changes, ...newSlides(read, planned.passage)], harmonics);
  return asKind(made?.ok === true ? made.value : new TextEncoder().encode(writeMusicXml(planned)), kind);
}
