/** A mended part as a file: the original patched where it is a score, else written anew; read back and held against every rule. */

import type { Problem } from '../../base/problem';
import { CONCERT_HARP, type Instrument } from '../../harp/instrument';
import { writeMidi } from '../../interchange/midi-write';
import { patchMusicXml } from '../../interchange/musicxml-patch';
import { openScore, zip } from '../../interchange/musicxml/patch/container';
import { writeMusicXml } from '../../interchange/musicxml-write';
import { type ReadPart, readPart } from '../../interchange/read-part';
import type { Passage } from '../../music/passage';
import { defaultPlanOptions, planPassage } from '../../pedals/plan';
import { type PartToCheck, checkPart } from '../check';
import type { PedalMarks } from '../marks';
import { applyRepairs, mendPart, repairEdits } from './mend';
import { printedNotes, scoreEdits } from './score-edits';
import type { Edit, MendAnswer, Mending } from './types';

export interface MendFileOptions {
  /** Name of the part in the file, where it was given. */
  readonly part?: string;
  /** How harmonics are written that say neither, as the file was read. */
  readonly harmonics?: 'string' | 'sounding';
  /** Kind of the file that is written. */
  readonly kind: 'musicxml' | 'mxl' | 'midi';
  /** Write the plan of the pedals where the part has no marks. */
  readonly pedals?: boolean;
}

export interface MendedFile {
  /** The last is the repair of what the file itself still showed when it was read back. */
  readonly rounds: readonly { readonly read: ReadPart; readonly answer: MendAnswer }[];
  readonly bytes: Uint8Array;
  /** Errors in the file as it was written, read back. */
  readonly remaining: readonly Problem[];
  readonly passage: Passage;
  /** Notes for a second harp, as a file of their own; null where there are none. */
  readonly second: Uint8Array | null;
}

/** Times that a file is mended again after it was read back. */
const ROUNDS = 3;
const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);
const severe = (problems: readonly Problem[]): Problem[] => problems.filter((p) => p.severity === 'error');

function readBack(bytes: Uint8Array, options: MendFileOptions): ReadPart | null {
  const name = options.kind === 'midi' ? 'mended.mid' : 'mended.musicxml';
  const { part, harmonics } = options;
  const how = harmonics === undefined ? {} : { harmonics };
  const named = readPart(name, bytes, part === undefined ? how : { ...how, part });
  if (named.ok) return named.value;
  const any = readPart(name, bytes, how);
  return any.ok ? any.value : null;
}

const CONTAINER =
  '<?xml version="1.0" encoding="UTF-8"?><container><rootfiles><rootfile full-path="score.musicxml"/></rootfiles></container>';

/** A score as the kind of file that is asked for: text taken from its zip, or put into one. */
export function asKind(bytes: Uint8Array, kind: MendFileOptions['kind']): Uint8Array {
  const zipped = bytes[0] === 0x50 && bytes[1] === 0x4b;
  if (kind === 'musicxml' && zipped) {
    const opened = openScore(bytes);
    return opened.ok ? utf8(opened.value.text.replace(/(encoding\s*=\s*["'])[^"']*/, '$1UTF-8')) : bytes;
  }
  if (kind !== 'mxl' || zipped) return bytes;
  return zip([
    ['META-INF/container.xml', utf8(CONTAINER)],
    ['score.musicxml', bytes],
  ]);
}

/** How many notes of a part are not where, what or in whose hand they were meant to be. */
function astray(wanted: Passage, found: Passage, hands: boolean): number {
  const names = (p: Passage): string[] =>
    p.plucks.map((n) => {
      const { letter, alter, octave } = n.pitch;
      return `${n.onset} ${letter}${alter}${octave} ${hands ? n.hand : ''}`;
    });
  const left = new Map<string, number>();
  for (const name of names(wanted)) left.set(name, (left.get(name) ?? 0) + 1);
  for (const name of names(found)) left.set(name, (left.get(name) ?? 0) - 1);
  return [...left.values()].reduce((sum, n) => sum + Math.abs(n), 0);
}

/** Notes that an easier line leaves out: they stay in sight, small. */
const fullLine = (mendings: readonly Mending[], ids: readonly string[]): ReadonlySet<string> =>
  new Set(
    mendings
      .flatMap((m) => m.repairs)
      .filter((r) => ids.includes(r.id))
      .flatMap((r) => r.steps.filter((s) => s.kind === 'ossia'))
      .flatMap((s) => s.edits)
      .flatMap((e) => ('id' in e ? [e.id] : [])),
  );

/** The original with its repairs, by whichever of the two ways of giving notes to a hand is read back right. */
function patched(
  original: Uint8Array,
  read: ReadPart,
  mended: PartToCheck,
  edits: readonly Edit[],
  marks: PedalMarks | null,
  options: MendFileOptions,
  small: ReadonlySet<string>,
): Uint8Array | null {
  let best: { readonly bytes: Uint8Array; readonly away: number } | null = null;
  for (const by of ['voice', 'staff'] as const) {
    const changes = scoreEdits(read, mended, edits, by, marks, small);
    if (changes === null) return null;
    const made = patchMusicXml(original, changes, options.harmonics);
    const back = made.ok ? readBack(made.value, options) : null;
    if (!made.ok || back === null) continue;
    const away = astray(mended.passage, back.passage, read.handsGiven);
    if (best === null || away < best.away) best = { bytes: made.value, away };
    if (away === 0) break;
  }
  return best?.bytes ?? null;
}

/** The marks of the plan. */
const marksOf = ({ planned }: MendAnswer): PedalMarks => ({
  settings: [{ onset: 0 as PedalMarks['settings'][number]['onset'], setting: planned.start }],
  moves: planned.moves.map(({ onset, letter, to }) => ({ onset, letter, to })),
});

function written(answer: MendAnswer, kind: MendFileOptions['kind']): Uint8Array {
  return kind === 'midi' ? writeMidi(answer.planned) : utf8(writeMusicXml(answer.planned));
}

/**
 * What a second harp would play, as a file: the notes that these repairs gave to it, with a plan of its own; null where
 * there are none or no pedals serve them.
 */
export function secondHarp(
  read: ReadPart,
  mendings: readonly Mending[],
  chosen: readonly string[],
  instrument: Instrument = CONCERT_HARP,
): Uint8Array | null {
  const steps = mendings
    .flatMap((m) => m.repairs)
    .filter((r) => chosen.includes(r.id))
    .flatMap((r) => r.steps)
    .filter((s) => s.kind === 'second-harp');
  const ids = new Set(steps.flatMap((s) => s.edits).flatMap((e) => ('id' in e ? [e.id] : [])));
  if (ids.size === 0) return null;
  const { passage } = read;
  const only: Passage = {
    ...passage,
    plucks: passage.plucks.filter((p) => ids.has(p.id)),
    sweeps: passage.sweeps.filter((s) => ids.has(s.id)),
    trembles: passage.trembles.filter((t) => ids.has(t.id)),
    rolls: [],
  };
  const plan = planPassage(only, { ...defaultPlanOptions, instrument });
  return plan.status === 'unplayable' ? null : utf8(writeMusicXml(plan.planned));
}

/**
 * Mends a part and writes it. `original` are the bytes of the file that `read` was read from: a MusicXML score that
 * stays one is patched in its own text. The part is read back from what was written; what still is wrong in it is
 * mended again, and what remains after that is told.
 */
export function mendFile(
  original: Uint8Array,
  read: ReadPart,
  options: MendFileOptions,
  instrument: Instrument = CONCERT_HARP,
): MendedFile {
  const rounds: MendedFile['rounds'][number][] = [];
  let [bytes, now] = [original, read];
  let remaining: readonly Problem[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    const answer = mendPart(now, instrument, {
      handsGiven: now.handsGiven,
      printedAs: printedNotes(now),
    });
    if (round > 0 && answer.mendings.length === 0) break;
    rounds.push({ read: now, answer });
    const edits = repairEdits(answer.mendings, answer.chosen);
    const addMarks =
      options.pedals === true && now.markings.settings.length + now.markings.moves.length === 0;
    const isScore = now.sources.size > 0 && options.kind !== 'midi';
    bytes =
      (isScore
        ? patched(
            bytes,
            now,
            answer.part,
            edits,
            addMarks ? marksOf(answer) : null,
            options,
            fullLine(answer.mendings, answer.chosen),
          )
        : null) ?? written(answer, options.kind);
    const back = readBack(bytes, options);
    if (back === null) break;
    now = back;
    const part: PartToCheck = now;
    remaining = severe(checkPart(part, instrument).problems);
    if (remaining.length === 0) break;
  }
  const [first] = rounds;
  const second =
    first === undefined
      ? null
      : secondHarp(first.read, first.answer.mendings, first.answer.chosen, instrument);
  return { rounds, bytes: asKind(bytes, options.kind), remaining, passage: now.passage, second };
}

/**
 * The file with these repairs of `mendPart` and no others: what a user took singly. With all that `mendPart` chose, or
 * with none named, it is the file of `mendFile`.
 */
export function repairFile(
  original: Uint8Array,
  read: ReadPart,
  ids: readonly string[],
  options: MendFileOptions,
  instrument: Instrument = CONCERT_HARP,
): Uint8Array {
  const { mendings, chosen } = mendPart(read, instrument, {
    handsGiven: read.handsGiven,
    printedAs: printedNotes(read),
    offered: false,
  });
  const known = mendings.flatMap((m) => m.repairs.map((r) => r.id)).filter((id) => ids.includes(id));
  if (known.length === 0 || (known.length === chosen.length && known.every((id) => chosen.includes(id))))
    return mendFile(original, read, options, instrument).bytes;
  const mended = applyRepairs(read, mendings, known, instrument);
  const edits = repairEdits(mendings, known);
  const own =
    read.sources.size === 0
      ? null
      : patched(original, read, mended, edits, null, options, fullLine(mendings, known));
  return asKind(own ?? utf8(writeMusicXml(checkPart(mended, instrument).planned)), options.kind);
}
