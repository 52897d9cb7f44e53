/** Makes edits: a part and edits in, the changed part out. Settled edits (one for each thing) have no order. */

import { type Ticks, ticks } from '../../base/units';
import type { Instrument } from '../../harp/instrument';
import { type Position, withPosition } from '../../harp/setting';
import { stringOf } from '../../harp/strings';
import type { Hand, Passage, Pluck, Roll } from '../../music/passage';
import type { Letter, Pitch } from '../../music/pitch';
import { DEFAULT_MILLI_BPM, type TempoChange } from '../../music/tempo';
import { type PartToCheck, checkPart } from '../check';
import type { PedalMarks } from '../marks';
import type { Edit } from './types';

type Of<K extends Edit['kind']> = Extract<Edit, { kind: K }>;

/** Edits by kind and by what they concern. */
interface Sorted {
  readonly pitch: ReadonlyMap<string, Pitch>;
  readonly out: ReadonlySet<string>;
  readonly hand: ReadonlyMap<string, Hand>;
  readonly onset: ReadonlyMap<string, Ticks>;
  readonly sweep: ReadonlyMap<string, Of<'sweep'>>;
  readonly rolls: readonly Of<'roll'>[];
  readonly tempo: readonly Of<'tempo'>[];
}

function sorted(edits: readonly Edit[]): Sorted {
  const of = <K extends Edit['kind']>(kind: K): Of<K>[] => edits.filter((e): e is Of<K> => e.kind === kind);
  return {
    pitch: new Map(of('pitch').map((e) => [e.id, e.to])),
    out: new Set(of('leave-out').map((e) => e.id)),
    hand: new Map(of('hand').map((e) => [e.id, e.to])),
    onset: new Map(of('onset').map((e) => [e.id, e.to])),
    sweep: new Map(of('sweep').map((e) => [e.id, e])),
    rolls: of('roll'),
    tempo: of('tempo'),
  };
}

function editedPluck(p: Pluck, s: Sorted): Pluck {
  const [pitch, hand, onset] = [s.pitch.get(p.id), s.hand.get(p.id), s.onset.get(p.id)];
  if (pitch === undefined && hand === undefined && onset === undefined) return p;
  const changed = { ...p, pitch: pitch ?? p.pitch, hand: hand ?? p.hand };
  // Another string or hand: the finger that was printed no longer holds.
  const plain = hand === undefined || hand === p.hand ? changed : { ...changed, finger: null };
  if (onset === undefined) return plain;
  return { ...plain, onset, duration: ticks(Math.max(1, p.onset + p.duration - onset)) };
}

/** Rolls without what is gone, or no longer struck at the same time, and with those that are added. */
function editedRolls(rolls: readonly Roll[], s: Sorted, plucks: readonly Pluck[]): readonly Roll[] {
  if (s.rolls.length === 0 && s.out.size === 0 && s.onset.size === 0) return rolls;
  const here = new Map(plucks.map((p) => [p.id, p.onset]));
  const added = new Set(s.rolls.flatMap((r) => r.ids));
  const kept = rolls
    .map((r) => {
      const plucked = r.plucks.filter((id) => here.has(id) && !added.has(id));
      const first = plucked[0] === undefined ? undefined : here.get(plucked[0]);
      return { ...r, plucks: plucked.filter((id) => here.get(id) === first) };
    })
    .filter((r) => r.plucks.length > 0);
  const made = s.rolls.map((r): Roll => {
    const plucked = r.ids.filter((id) => here.has(id));
    return { id: `roll-${r.ids[0]}`, plucks: plucked, direction: 'up' };
  });
  return [...kept, ...made.filter((r) => r.plucks.length > 1)];
}

/** Tempi with every stretch slowed; where stretches overlap the slower counts. */
function editedTempo(tempo: readonly TempoChange[], slow: readonly Of<'tempo'>[]): readonly TempoChange[] {
  if (slow.length === 0) return tempo;
  const start = { onset: ticks(0), milliBpm: DEFAULT_MILLI_BPM };
  const written = tempo[0]?.onset === 0 ? tempo : [start, ...tempo];
  const at = (onset: number): number => {
    let found = written[0] as TempoChange;
    for (const change of written) if (change.onset <= onset) found = change;
    const shares = slow.filter((e) => e.from <= onset && onset < e.to).map((e) => e.permille);
    return Math.max(1, Math.floor((found.milliBpm * Math.min(1000, ...shares)) / 1000));
  };
  const places = [...new Set([...written.map((c) => c.onset), ...slow.flatMap((e) => [e.from, e.to])])];
  places.sort((a, b) => a - b);
  const out: TempoChange[] = [];
  for (const onset of places) {
    const milliBpm = at(onset);
    if (out.at(-1)?.milliBpm !== milliBpm) out.push({ onset, milliBpm });
  }
  return out;
}

/** The passage with the edits that concern notes and time. */
export function editPassage(passage: Passage, edits: readonly Edit[]): Passage {
  if (edits.length === 0) return passage;
  const s = sorted(edits);
  const plucks = passage.plucks.filter((p) => !s.out.has(p.id)).map((p) => editedPluck(p, s));
  if (s.pitch.size > 0 || s.onset.size > 0) {
    plucks.sort((a, b) => a.onset - b.onset || stringOf(a.pitch) - stringOf(b.pitch));
  }
  return {
    ...passage,
    plucks,
    rolls: editedRolls(passage.rolls, s, plucks),
    sweeps: passage.sweeps
      .filter((w) => !s.out.has(w.id))
      .map((w) => {
        const ends = s.sweep.get(w.id);
        const hand = s.hand.get(w.id) ?? w.hand;
        return ends === undefined ? { ...w, hand } : { ...w, hand, from: ends.from, to: ends.to };
      }),
    trembles: passage.trembles
      .filter((t) => !s.out.has(t.id))
      .map((t) => ({
        ...t,
        notes: t.notes
          .filter((n) => !s.out.has(n.id))
          .map((n) => ({ ...n, pitch: s.pitch.get(n.id) ?? n.pitch, hand: s.hand.get(n.id) ?? n.hand })),
      }))
      .filter((t) => t.notes.length > 0),
    tempo: editedTempo(passage.tempo, s.tempo),
  };
}

/** Marks as one opening setting and single moves, as the check follows them; none where it follows none. */
export function plainMarks(part: PartToCheck, instrument: Instrument): PedalMarks {
  const report = checkPart(part, instrument);
  if (report.pedals !== 'marked') return { settings: [], moves: [] };
  const moves = report.planned.moves.map(({ onset, letter, to }) => ({ onset, letter, to }));
  return { settings: [{ onset: ticks(0), setting: report.planned.start }], moves };
}

/** Plain marks with the edits that concern them; what is taken out goes before what is put in. */
export function editMarks(marks: PedalMarks, edits: readonly Edit[]): PedalMarks {
  const key = (m: { readonly onset: Ticks; readonly letter: Letter }): string => `${m.letter}@${m.onset}`;
  const out = new Set<string>();
  const added = new Map<string, { onset: Ticks; letter: Letter; to: Position }>();
  let opening = marks.settings[0];
  for (const e of edits) {
    if (e.kind === 'move-out') out.add(key(e));
    else if (e.kind === 'move-in') added.set(key(e), { onset: e.onset, letter: e.letter, to: e.to });
    else if (e.kind === 'opening' && opening !== undefined)
      opening = { ...opening, setting: withPosition(opening.setting, e.letter, e.to) };
  }
  const moves = [...marks.moves.filter((m) => !out.has(key(m)) && !added.has(key(m))), ...added.values()];
  moves.sort((a, b) => a.onset - b.onset);
  return { settings: opening === undefined ? [] : [opening], moves };
}

const ofPedals = (e: Edit): boolean => e.kind === 'move-in' || e.kind === 'move-out' || e.kind === 'opening';

/** The part with all edits. Its marks are plain, where an edit concerns them. */
export const editPart = (part: PartToCheck, edits: readonly Edit[]): PartToCheck => ({
  ...part,
  passage: editPassage(part.passage, edits),
  markings: edits.some(ofPedals) ? editMarks(part.markings, edits) : part.markings,
});

/** What an edit changes: later edits of the same thing replace earlier ones. */
const target = (e: Edit): string => {
  if (e.kind === 'tempo') return `tempo ${e.from} ${e.to} ${e.permille}`;
  if (e.kind === 'roll') return `roll ${e.ids.join(' ')}`;
  if (e.kind === 'opening') return `opening ${e.letter}`;
  if (e.kind === 'move-in' || e.kind === 'move-out') return `mark ${e.letter} ${e.onset}`;
  return `${e.kind} ${e.id}`;
};

/** One edit for each thing, the last of those given; a text that is the same for the same changes. */
export function settled(edits: readonly Edit[]): { readonly edits: readonly Edit[]; readonly key: string } {
  const last = new Map(edits.map((e) => [target(e), e]));
  const key = [...last].map(([name, e]) => `${name}:${JSON.stringify(e)}`).sort();
  return { edits: [...last.values()], key: key.join('|') };
}
