/** A mended part as changes to the score it was read from: what no repair names stays as it was printed. */

import { type Ticks } from '../../base/units';
import { stringPitch } from '../../harp/strings';
import { positionOf } from '../../harp/setting';
import type { NoteSource } from '../../interchange/musicxml/read/types';
import type { ReadPart } from '../../interchange/read-part';
import type { ScoreEdit, ScorePlace } from '../../interchange/musicxml-patch';
import { barAt } from '../../music/metre';
import type { Hand, Passage } from '../../music/passage';
import { spellingName } from '../../music/pitch';
import type { PartToCheck } from '../check';
import type { PedalMarks } from '../marks';
import type { Edit } from './types';

/** How a score tells the hands apart: which of the two is seen when the file is read again. */
export type HandsBy = 'voice' | 'staff';

/** The measure of the file in which each bar stands; bars without notes lie between their neighbours. */
function measuresOf(read: ReadPart): (number | null)[] {
  const { bars, plucks, sweeps, trembles } = read.passage;
  const out: (number | null)[] = bars.map(() => null);
  for (const x of [
    ...plucks,
    ...sweeps,
    ...trembles.flatMap((t) => t.notes.map((n) => ({ ...n, onset: t.onset }))),
  ]) {
    const measure = read.sources.get(x.id)?.[0]?.measure;
    if (measure !== undefined && bars.length > 0) out[barAt(bars, x.onset).index] = measure;
  }
  for (let i = 1; i < out.length; i++) out[i] ??= out[i - 1] === null ? null : (out[i - 1] as number) + 1;
  for (let i = out.length - 2; i >= 0; i--)
    out[i] ??= out[i + 1] === null ? null : (out[i + 1] as number) - 1;
  return out;
}

/** The voice of a hand in this program's files: 1–4 the right hand, 5–8 the left. */
const VOICE: Readonly<Record<Hand, number>> = { R: 1, L: 5 };
const STAFF: Readonly<Record<Hand, 1 | 2>> = { R: 1, L: 2 };

/** For the printed note that several bars of a repeat share, one change is enough. */
function distinct(edits: readonly ScoreEdit[]): ScoreEdit[] {
  const seen = new Set<string>();
  return edits.filter((e) => {
    const key = JSON.stringify(e);
    if (seen.has(key)) return false;
    seen.add(key);
    return true;
  });
}

function noteEdits(
  read: ReadPart,
  mended: Passage,
  edits: readonly Edit[],
  placeOf: (at: Ticks) => ScorePlace | null,
  by: HandsBy,
  small: ReadonlySet<string>,
): ScoreEdit[] {
  const out: ScoreEdit[] = [];
  const gone: ScoreEdit[] = [];
  const byId = new Map(mended.plucks.map((p) => [p.id, p]));
  const sources = (id: string): readonly NoteSource[] => read.sources.get(id) ?? [];
  const trembles = new Map(read.passage.trembles.map((t) => [t.id, t.notes.map((n) => n.id)]));
  for (const e of edits) {
    if (e.kind === 'pitch') out.push({ kind: 'pitch', notes: sources(e.id), pitch: e.to });
    else if (e.kind === 'hand') {
      const notes = sources(e.id);
      if (by === 'voice') out.push({ kind: 'voice', notes, voice: VOICE[e.to], staff: STAFF[e.to] });
      else out.push({ kind: 'staff', notes, staff: STAFF[e.to] });
    } else if (e.kind === 'roll') {
      const notes = e.ids.flatMap((id) => sources(id).slice(0, 1));
      out.push({ kind: 'roll', notes, direction: 'up' });
    } else if (e.kind === 'leave-out') {
      const ids = trembles.get(e.id) ?? [e.id];
      gone.push({ kind: small.has(e.id) ? 'cue' : 'remove', notes: ids.flatMap(sources) });
    } else if (e.kind === 'onset') {
      const pluck = byId.get(e.id);
      const place = placeOf(e.to);
      gone.push({ kind: 'remove', notes: sources(e.id) });
      if (pluck === undefined || place === null) continue;
      const hand = pluck.hand ?? 'R';
      const { duration, pitch, technique, ring } = pluck;
      gone.push({
        ...{ kind: 'add', place, duration, pitch, technique },
        ...{ voice: VOICE[hand], staff: pluck.staff ?? STAFF[hand], ring: ring === true },
      });
    } else if (e.kind === 'sweep') {
      const sweep = mended.sweeps.find((s) => s.id === e.id);
      const notes = sources(e.id);
      if (sweep === undefined) continue;
      const setting = sweep.settings[0] ?? 0;
      const end = (string: number): ReturnType<typeof stringPitch> => {
        const { letter } = stringPitch(string, 0);
        return stringPitch(string, positionOf(setting, letter));
      };
      out.push({ kind: 'pitch', notes: notes.slice(0, -1), pitch: end(e.from) });
      out.push({ kind: 'pitch', notes: notes.slice(-1), pitch: end(e.to) });
    }
  }
  return [...out, ...gone].filter((e) => !('notes' in e) || e.notes.length > 0);
}

/** Marks written anew: a diagram before the first note, a word for each move. */
function markEdits(part: string, marks: PedalMarks, placeOf: (at: Ticks) => ScorePlace | null): ScoreEdit[] {
  const out: ScoreEdit[] = [{ kind: 'clear-pedals', part }];
  const opening = marks.settings[0];
  const first = opening === undefined ? null : placeOf(opening.onset);
  if (opening !== undefined && first !== null)
    out.push({ kind: 'pedals', place: first, setting: opening.setting });
  for (const m of marks.moves) {
    const place = placeOf(m.onset);
    const text = m.to === 0 ? `${m.letter}♮` : spellingName(m.letter, m.to);
    if (place !== null) out.push({ kind: 'words', place, text, placement: 'above', staff: 1 });
  }
  return out;
}

/**
 * Only the pedal words that repairs concern; null where the file says it otherwise than in a word of its own (a later
 * diagram, no opening diagram), so that all have to be written anew.
 */
function wordEdits(
  read: ReadPart,
  edits: readonly Edit[],
  placeOf: (at: Ticks) => ScorePlace | null,
): ScoreEdit[] | null {
  const { settings, moves } = read.markings;
  if (settings.length > 1) return null;
  const out: ScoreEdit[] = [];
  for (const e of edits) {
    if (e.kind === 'opening') {
      const place = settings[0] === undefined ? null : placeOf(settings[0].onset);
      if (place === null) return null;
      out.push({ kind: 'pedal-set', place, letter: e.letter, to: e.to });
    } else if (e.kind === 'move-out') {
      const place = placeOf(e.onset);
      if (place === null || !moves.some((m) => m.onset === e.onset && m.letter === e.letter)) return null;
      out.push({ kind: 'pedal-out', place, letter: e.letter });
    }
  }
  for (const e of edits) {
    if (e.kind !== 'move-in') continue;
    const place = placeOf(e.onset);
    if (place === null || moves.some((m) => m.onset === e.onset && m.letter === e.letter)) return null;
    const text = e.to === 0 ? `${e.letter}♮` : spellingName(e.letter, e.to);
    out.push({ kind: 'words', place, text, placement: 'above', staff: 1 });
  }
  return out;
}

const ofPedals = (e: Edit): boolean => e.kind === 'move-in' || e.kind === 'move-out' || e.kind === 'opening';

/**
 * What to change in the file. `mended` is the part with `edits`; `marks` are written in place of those that the part
 * has, where they are given; of the part's own only the words that an edit concerns are written, where words they are. What is left out and `small` is printed small
 * in a voice of its own. Null for a part that was not read from a MusicXML file.
 */
export function scoreEdits(
  read: ReadPart,
  mended: PartToCheck,
  edits: readonly Edit[],
  by: HandsBy,
  marks: PedalMarks | null = null,
  small: ReadonlySet<string> = new Set(),
): ScoreEdit[] | null {
  const part = [...read.sources.values()][0]?.[0]?.part;
  if (part === undefined) return null;
  const { bars } = read.passage;
  const measures = measuresOf(read);
  const placeOf = (at: Ticks): ScorePlace | null => {
    if (bars.length === 0) return null;
    const bar = barAt(bars, at);
    const measure = measures[bar.index] ?? null;
    return measure === null || measure < 0 ? null : { part, measure, at: at - bar.start };
  };
  const written = marks ?? (edits.some(ofPedals) ? mended.markings : null);
  const known = new Set(read.passage.tempo.map((t) => `${t.onset} ${t.milliBpm}`));
  const tempo = edits.some((e) => e.kind === 'tempo')
    ? mended.passage.tempo.filter((t) => !known.has(`${t.onset} ${t.milliBpm}`))
    : [];
  return distinct([
    ...noteEdits(read, mended.passage, edits, placeOf, by, small),
    ...(written === null
      ? []
      : ((marks === null ? wordEdits(read, edits, placeOf) : null) ?? markEdits(part, written, placeOf))),
    ...tempo.flatMap((t): ScoreEdit[] => {
      const place = placeOf(t.onset);
      return place === null ? [] : [{ kind: 'tempo', place, milliBpm: t.milliBpm }];
    }),
  ]);
}

/** The text that names the printed note of each pluck: the same for every time that it is played. */
export const printedNotes = (read: ReadPart): ReadonlyMap<string, string> =>
  new Map([...read.sources].map(([id, notes]) => [id, notes.map((n) => `${n.measure}/${n.note}`).join(' ')]));
