/** What a repair changes, in plain sentences. */

import { ticks } from '../../base/units';
import { stringName, stringOf } from '../../harp/strings';
import type { Passage } from '../../music/passage';
import { barAndBeat, barAt } from '../../music/metre';
import { type Pitch, pitchName, spellingName } from '../../music/pitch';
import { DEFAULT_MILLI_BPM } from '../../music/tempo';
import { barName, placeName } from '../../playability/places';
import { capital } from '../../playability/wording';
import { onsetsById } from './twins';
import type { Edit, RepairKind, Step } from './types';

/** 'A', 'A and B', 'A, B and C'. */
const spoken = (names: readonly string[]): string =>
  names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;

interface Words {
  readonly passage: Passage;
  /** The original pitch of a note; a sweep's name where it is none. */
  name(id: string): string;
  pitch(id: string): Pitch | null;
}

function wordsOf(passage: Passage): Words {
  const pitches = new Map<string, Pitch>([
    ...passage.plucks.map((p) => [p.id, p.pitch] as const),
    ...passage.trembles.flatMap((t) => t.notes.map((n) => [n.id, n.pitch] as const)),
  ]);
  const others = new Map<string, string>([
    ...passage.sweeps.map(
      (s) => [s.id, `the glissando from ${stringName(s.from)} to ${stringName(s.to)}`] as const,
    ),
    ...passage.trembles.map((t) => [t.id, 'the bisbigliando'] as const),
  ]);
  const pitch = (id: string): Pitch | null => pitches.get(id) ?? null;
  return {
    passage,
    pitch,
    name: (id) => {
      const own = pitch(id);
      return own === null ? (others.get(id) ?? id) : pitchName(own);
    },
  };
}

const idsOf = (edits: readonly Edit[]): string[] =>
  edits.flatMap((e) => (e.kind === 'roll' ? e.ids : 'id' in e ? [e.id] : []));

/** Names of the notes of edits, each once. */
const names = (w: Words, edits: readonly Edit[]): string => spoken([...new Set(idsOf(edits).map(w.name))]);

const isOne = (w: Words, edits: readonly Edit[]): boolean => new Set(idsOf(edits).map(w.name)).size === 1;

function respelt(w: Words, edits: readonly Edit[]): string {
  const pairs = edits.flatMap((e) =>
    e.kind === 'pitch' && w.pitch(e.id) !== null ? [[w.name(e.id), pitchName(e.to)] as const] : [],
  );
  const texts = [...new Set(pairs.map(([from, to]) => `${from} is written as ${to}`))];
  return spoken(texts);
}

function octave(w: Words, edits: readonly Edit[]): string {
  const texts = edits.flatMap((e) => {
    const from = e.kind === 'pitch' ? w.pitch(e.id) : null;
    if (e.kind !== 'pitch' || from === null) return [];
    const by = Math.abs(e.to.octave - from.octave);
    const way = e.to.octave > from.octave ? 'higher' : 'lower';
    const far = by === 1 ? 'an octave' : `${by} octaves`;
    return [`${pitchName(from)} is played ${far} ${way}, as ${pitchName(e.to)}`];
  });
  return spoken([...new Set(texts)]);
}

function marks(w: Words, edits: readonly Edit[]): string {
  const at = (onset: number): string => placeName(w.passage.bars, ticks(onset));
  const texts = edits.flatMap((e) => {
    if (e.kind === 'opening')
      return [`the pedal of ${e.letter} is set to ${spellingName(e.letter, e.to)} at first`];
    if (e.kind === 'move-in') return [`the pedal moves to ${spellingName(e.letter, e.to)} at ${at(e.onset)}`];
    if (e.kind === 'move-out') return [`the mark for ${e.letter} at ${at(e.onset)} goes`];
    return [];
  });
  return spoken([...new Set(texts)]);
}

function slow(w: Words, edits: readonly Edit[]): string {
  const e = edits.find((x) => x.kind === 'tempo');
  if (e === undefined) return '';
  const { bars } = w.passage;
  const first = barName(bars, barAt(bars, e.from));
  const last = barName(bars, barAt(bars, ticks(e.to - 1)));
  const written = w.passage.tempo.filter((t) => t.onset <= e.from).at(-1)?.milliBpm ?? DEFAULT_MILLI_BPM;
  const bpm = Math.floor((written * e.permille) / 1000) / 1000;
  const where = first === last ? `${first} is` : `${first} to ${last} are`;
  return `${where} played at ♩ = ${Math.floor(bpm)} in place of ${Math.round(written / 1000)}`;
}

const SAY: Readonly<Record<RepairKind, (w: Words, edits: readonly Edit[]) => string>> = {
  respell: (w, edits) => spoken([respelt(w, edits), marks(w, edits)].filter((t) => t !== '')),
  pedal: marks,
  drop: (w, edits) =>
    `${names(w, edits)} ${isOne(w, edits) ? 'is' : 'are'} left out; the same note sounds in another octave`,
  hand: (w, edits) => {
    const hands = new Set(edits.flatMap((e) => (e.kind === 'hand' ? [e.to] : [])));
    const to = hands.size > 1 ? 'the other hand' : hands.has('L') ? 'the left hand' : 'the right hand';
    return `${names(w, edits)} ${isOne(w, edits) ? 'goes' : 'go'} to ${to}`;
  },
  octave,
  roll: (w, edits) => `the chord ${names(w, edits)} is rolled`,
  split: (w, edits) =>
    `the chord is broken, and ${names(w, edits)} ${isOne(w, edits) ? 'comes' : 'come'} after the beat`,
  homophone: (w, edits) => {
    const texts = edits.flatMap((e) =>
      e.kind === 'pitch'
        ? [`${w.name(e.id)} is plucked on the ${stringName(stringOf(e.to))} string, as ${pitchName(e.to)}`]
        : [],
    );
    return spoken([...new Set(texts), marks(w, edits)].filter((t) => t !== ''));
  },
  thin: (w, edits) =>
    edits.some((e) => e.kind === 'sweep')
      ? `${names(w, edits)} stays on the strings of this harp`
      : `${names(w, edits)} ${isOne(w, edits) ? 'is' : 'are'} left out`,
  slow,
  'second-harp': (w, edits) => `${names(w, edits)} ${isOne(w, edits) ? 'is' : 'are'} for a second harp`,
  ossia: (w, edits) => `an easier line is played, without ${names(w, edits)}`,
};

export interface ShownChange {
  readonly bar: string | null;
  readonly beat: number | null;
  /** The kind of repair. */
  readonly code: RepairKind;
  readonly message: string;
  readonly ids: readonly string[];
}

/** A step as people read it, its place first. `passage` is the part as it was brought. */
export function shownStep(step: Step, passage: Passage): ShownChange {
  const words = wordsOf(passage);
  const ids = [...new Set(idsOf(step.edits))];
  const onsets = onsetsById(passage);
  const starts = [
    ...ids.flatMap((id) => onsets.get(id) ?? []),
    ...step.edits.flatMap((e) => (e.kind === 'tempo' ? [e.from] : 'onset' in e ? [e.onset] : [])),
  ];
  const first = starts.length === 0 ? ticks(0) : ticks(Math.min(...starts));
  const place = passage.bars.length === 0 ? null : barAndBeat(passage.bars, first);
  const text = SAY[step.kind](words, step.edits);
  return {
    bar: place?.bar ?? null,
    beat: place === null ? null : Math.round(place.beat * 1000) / 1000,
    code: step.kind,
    message: place === null ? `${text}.` : `${capital(placeName(passage.bars, first))}: ${text}.`,
    ids,
  };
}
