/** A part of a MusicXML file as a passage. Shares with the writer the types and nothing else. */

import { type Result, ok } from '../base/result';
import { tooManyNotes } from './problems';
import { assemble, handsOf, pedalsOf } from './musicxml/read/assemble';
import { musicXmlText } from './musicxml/read/bytes';
import { reaches, readMeasures } from './musicxml/read/measures';
import { formOf, playOrder } from './musicxml/read/play-order';
import { play } from './musicxml/read/play';
import { choosePart, partNames, readScore } from './musicxml/read/score';
import { parseXml } from './musicxml/read/tree';
import type { ReadOptions, ReadPart } from './musicxml/read/types';
import { UnreadList } from './musicxml/read/unread';

export type { NoteSource, ReadOptions, ReadPart, Unread, WrittenPedals } from './musicxml/read/types';

/**
 * Reads `.musicxml`, `.xml` or `.mxl`, partwise or timewise. Repeats and endings are unfolded, ties joined;
 * hands follow the voices where 1–4 and 5–8 both occur, else the staves where both are used, else they are null.
 * Bad input is one problem with a place; what is not understood is listed in `unread`.
 */
export function readMusicXml(input: Uint8Array | string, options: ReadOptions = {}): Result<ReadPart> {
  const text = musicXmlText(input);
  if (!text.ok) return text;
  const root = parseXml(text.value);
  if (!root.ok) return root;
  const score = readScore(root.value);
  if (!score.ok) return score;
  const part = choosePart(score.value, options.part);
  if (!part.ok) return part;
  const unread = new UnreadList();
  const measures = readMeasures(part.value.measures, options, unread);
  if (!measures.ok) return measures;
  const order = playOrder(measures.value, unread);
  const count = order.reduce((sum, index) => sum + (measures.value[index]?.notes.length ?? 0), 0);
  const large = tooManyNotes(count);
  if (large !== null) return large;
  const lengths: number[] = [];
  for (const other of score.value.parts) {
    reaches(other.measures).forEach((reach, i) => {
      lengths[i] = Math.max(lengths[i] ?? 0, reach);
    });
  }
  const form = formOf(measures.value, order);
  const played = play(measures.value, order, lengths, part.value.id, form !== null, unread);
  const hands = handsOf(measures.value);
  const { passage, sources } = assemble(played, hands, score.value, form, unread);
  return ok({
    passage,
    markings: pedalsOf(played.marks),
    partName: part.value.name || part.value.id,
    ...(score.value.parts.length > 1 ? { parts: partNames(score.value) } : {}),
    tempoGiven: played.marks.some(({ mark }) => mark.kind === 'tempo'),
    handsGiven: hands !== null,
    unread: unread.list(),
    sources,
  });
}
