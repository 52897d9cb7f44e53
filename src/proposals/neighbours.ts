/** Cheaper neighbours: small changes of the music that save pedal moves, each planned again before it is offered. */

import { type Ticks, ticks } from '../base/units';
import { type Move, settingAt } from '../harp/planned';
import { PEDALS, type Position, type Setting, positionOf, withPosition } from '../harp/setting';
import { stringOf } from '../harp/strings';
import { barAt, beatTicks } from '../music/metre';
import type { Passage, Pluck } from '../music/passage';
import { type Letter, type Pitch, midiOf, pitchClass } from '../music/pitch';
import { inHarpKey } from '../pedals/options';
import { planPassage } from '../pedals/plan';
import type { PedalPrice, PlanAnswer, PlanOptions } from '../pedals/types';

/** What is changed; `ids` are the plucks concerned, `from` and `to` their pitches before and after, in that order. */
export type Change =
  | { readonly kind: 'leave-out'; readonly ids: readonly string[]; readonly from: readonly Pitch[] }
  | {
      readonly kind: 'replace';
      readonly ids: readonly string[];
      readonly from: readonly Pitch[];
      readonly to: readonly Pitch[];
    }
  /** Everything struck at one onset comes so many ticks later. */
  | {
      readonly kind: 'delay';
      readonly ids: readonly string[];
      readonly from: readonly Pitch[];
      readonly by: Ticks;
    };

export interface Neighbour {
  /** The first note changed. */
  readonly onset: Ticks;
  readonly change: Change;
  /** Moves saved; 0 where the change saves haste only, or makes an unplayable passage playable. */
  readonly saves: number;
  /** Hasty moves saved. */
  readonly savesHasty: number;
  /** True where the passage has no plan without the change. */
  readonly mends: boolean;
  /** The price of the changed passage. */
  readonly price: PedalPrice;
  readonly passage: Passage;
}

export interface NeighbourLimits {
  /** Neighbours answered; 12 unless given. */
  readonly most?: number;
  /** Onsets planned in all while looking; 20,000 unless given. */
  readonly work?: number;
}

const MOST = 12;
const WORK = 20_000;
/** At most this many ways for one place. */
const PER_PLACE = 2;
/** A change of more notes than this is no small one. */
const MOST_NOTES = 8;
/** A tone is replaced by one at most this many semitones away (common practice: the line stays near). */
const NEAR = 5;
/** Bars on either side of a change that are planned first, to see whether it is worth planning the whole. */
const WINDOW_BARS = 3;

interface Tried {
  readonly onset: Ticks;
  readonly change: Change;
  readonly place: number;
}

/** The passage with a change made. */
export function withChange(passage: Passage, change: Change): Passage {
  const index = new Map(change.ids.map((id, i) => [id, i]));
  if (change.kind === 'leave-out') {
    return {
      ...passage,
      plucks: passage.plucks.filter((p) => !index.has(p.id)),
      rolls: passage.rolls.map((r) => ({ ...r, plucks: r.plucks.filter((id) => !index.has(id)) })),
    };
  }
  const plucks = passage.plucks.map((p): Pluck => {
    const i = index.get(p.id);
    if (i === undefined) return p;
    if (change.kind === 'replace') return { ...p, pitch: change.to[i] as Pitch };
    return {
      ...p,
      onset: ticks(p.onset + change.by),
      duration: ticks(p.duration > change.by ? p.duration - change.by : p.duration),
    };
  });
  plucks.sort((a, b) => a.onset - b.onset || stringOf(a.pitch) - stringOf(b.pitch));
  return { ...passage, plucks };
}

/** The plucks for which a move is made: those of its letter until the letter's next move. */
function served(plucks: readonly Pluck[], move: Move, moves: readonly Move[]): Pluck[] {
  const next = moves.find((m) => m.letter === move.letter && m.onset > move.onset)?.onset ?? Infinity;
  return plucks.filter((p) => p.pitch.letter === move.letter && p.onset >= move.onset && p.onset < next);
}

/** Octaves of a letter at a position that lie near a pitch, the nearest first. */
function nearPitches(letter: Letter, alter: -1 | 0 | 1, to: Pitch): Pitch[] {
  const away = (p: Pitch): number => Math.abs(midiOf(p) - midiOf(to));
  return [to.octave - 1, to.octave, to.octave + 1]
    .map((octave): Pitch => ({ letter, alter, octave }))
    .filter((p) => away(p) <= NEAR && away(p) > 0)
    .sort((a, b) => away(a) - away(b));
}

/** Other tones of the harmony, as the bar has it, on strings that stand right without the move. */
function replacements(
  use: readonly Pluck[],
  passage: Passage,
  standing: Setting,
  locked: ReadonlySet<number>,
): Pitch[][] {
  const first = use[0] as Pluck;
  const bar = barAt(passage.bars, first.onset);
  const here = passage.plucks.filter((p) => p.onset >= bar.start && p.onset < bar.start + bar.length);
  const own = midiOf(first.pitch) % 12;
  const tones = new Set(here.map((p) => midiOf(p.pitch) % 12).filter((pc) => pc !== own));
  const ways: { readonly to: Pitch[]; readonly away: number }[] = [];
  for (const letter of PEDALS) {
    const position = positionOf(standing, letter);
    const pc = pitchClass(letter, position);
    if (!tones.has(pc)) continue;
    const to = use.map((note) => {
      const struck = passage.plucks.filter((p) => p.onset === note.onset && p.id !== note.id);
      const taken = new Set(struck.map((p) => midiOf(p.pitch)));
      return nearPitches(letter, position, note.pitch).find(
        (p) => !taken.has(midiOf(p)) && !locked.has(stringOf(p)),
      );
    });
    if (to.some((p) => p === undefined)) continue;
    const pitches = to as Pitch[];
    const away = pitches.reduce(
      (sum, p, i) => sum + Math.abs(midiOf(p) - midiOf((use[i] as Pluck).pitch)),
      0,
    );
    tones.delete(pc);
    ways.push({ to: pitches, away });
  }
  return ways.sort((a, b) => a.away - b.away).map((w) => w.to);
}

/** All plucks of an onset a beat later, where nothing else is struck until then; null where something is. */
function delayed(passage: Passage, onset: Ticks): Change | null {
  const beat = beatTicks(barAt(passage.bars, onset).metre);
  const others = [...passage.plucks, ...passage.sweeps, ...passage.trembles];
  if (others.some((p) => p.onset > onset && p.onset <= onset + beat)) return null;
  const chord = passage.plucks.filter((p) => p.onset === onset);
  const last = passage.bars.at(-1);
  if (chord.length === 0 || last === undefined || onset + beat >= last.start + last.length) return null;
  return { kind: 'delay', ids: chord.map((p) => p.id), from: chord.map((p) => p.pitch), by: beat };
}

/** Every change that is tried, by the move that it might save. */
function changesFor(planned: PlanAnswer & { status: 'optimal' | 'planned' }, options: PlanOptions): Tried[] {
  const { passage, moves } = planned.planned;
  const discless = new Set(options.instrument.discless);
  const pedalled = passage.plucks.filter((p) => !discless.has(stringOf(p.pitch)));
  const out: Tried[] = [];
  const consider = (use: readonly Pluck[], letter: Letter, otherwise: Position, place: number): void => {
    const first = use[0];
    if (first === undefined) return;
    const offer = (change: Change): void => void out.push({ onset: first.onset, change, place });
    const bar = barAt(passage.bars, first.onset);
    const last = (use.at(-1) as Pluck).onset;
    if (use.length > MOST_NOTES || last - first.onset >= bar.length) return;
    const [ids, from] = [use.map((p) => p.id), use.map((p) => p.pitch)];
    const left = new Set(ids);
    const sounds = use.every((u) => passage.plucks.some((p) => p.onset === u.onset && !left.has(p.id)));
    if (sounds) offer({ kind: 'leave-out', ids, from });
    const standing = withPosition(settingAt(planned.planned, first.onset), letter, otherwise);
    for (const to of replacements(use, passage, standing, discless).slice(0, PER_PLACE))
      offer({ kind: 'replace', ids, from, to });
  };
  moves.forEach((move, place) => {
    const use = served(pedalled, move, moves);
    const late = use[0] === undefined ? null : delayed(passage, use[0].onset);
    if (late !== null && use[0] !== undefined) out.push({ onset: use[0].onset, change: late, place });
    consider(use, move.letter, move.from, place);
    // Before a pedal's first move: the notes for which it stands where it is set at first.
    if (moves.find((m) => m.letter === move.letter) !== move) return;
    const before = pedalled.filter((p) => p.pitch.letter === move.letter && p.onset < move.onset);
    consider(before, move.letter, move.to, place);
  });
  return out;
}

/** The stretch round a change, with the settings in which the plan enters and leaves it. */
function stretch(
  planned: PlanAnswer & { status: 'optimal' | 'planned' },
  tried: Tried,
  options: PlanOptions,
): { readonly from: number; readonly to: number } & Pick<PlanOptions, 'start' | 'end'> {
  const { bars } = planned.planned.passage;
  const index = barAt(bars, tried.onset).index;
  const from = bars[Math.max(0, index - WINDOW_BARS)]?.start ?? 0;
  const after = bars[index + WINDOW_BARS + 2]?.start;
  return {
    from,
    to: after ?? Number.MAX_SAFE_INTEGER,
    start: from === 0 ? options.start : settingAt(planned.planned, ticks(from - 1)),
    end: after === undefined ? options.end : settingAt(planned.planned, ticks(after - 1)),
  };
}

const onsetsOf = (p: Passage): number => new Set(p.plucks.map((x) => x.onset)).size + p.sweeps.length + 1;

/**
 * Small changes that save pedal moves (or haste, or make an unplayable passage playable), the most saving first. A
 * tone is left out only where its chord still sounds; it is replaced by another tone of its bar on a string that
 * is set; a chord comes a beat later only where nothing is struck before. `answer` is the plan of `passage` under
 * `options`. The same question always has the same answer: work is counted, not timed.
 */
export function neighbours(
  passage: Passage,
  options: PlanOptions,
  answer: PlanAnswer,
  limits: NeighbourLimits = {},
): Neighbour[] {
  if (passage.bars.length === 0) return [];
  const asked = options.fifths === undefined ? passage : inHarpKey(passage, options.fifths);
  let work = limits.work ?? WORK;
  if (answer.status === 'unplayable') return mendings(asked, options, answer, work);
  const whole = onsetsOf(asked);
  const promising: { readonly tried: Tried; readonly hope: number }[] = [];
  for (const tried of changesFor(answer, options)) {
    const { from, to, start, end } = stretch(answer, tried, options);
    const within = <X extends { readonly onset: Ticks }>(x: X): boolean => x.onset >= from && x.onset < to;
    const cut = (p: Passage): Passage => ({
      ...p,
      plucks: p.plucks.filter(within),
      sweeps: p.sweeps.filter(within),
      trembles: p.trembles.filter(within),
    });
    const part = cut(withChange(asked, tried.change));
    work -= onsetsOf(part);
    if (work < 0) break;
    const spent = answer.planned.moves.filter((m) => m.onset >= from && m.onset < to).length;
    const local = planPassage(part, { ...options, start, end });
    const hope = local.status === 'unplayable' ? 0 : spent - local.price.moves;
    if (hope > 0 || (tried.change.kind === 'delay' && answer.price.hasty > 0))
      promising.push({ tried, hope });
  }
  promising.sort((a, b) => b.hope - a.hope || a.tried.onset - b.tried.onset);
  const perPlace = new Map<number, number>();
  const out: Neighbour[] = [];
  for (const { tried } of promising) {
    const known = perPlace.get(tried.place) ?? 0;
    if (known >= PER_PLACE || out.length >= (limits.most ?? MOST)) continue;
    work -= whole;
    if (work < 0 && out.length > 0) break;
    const changed = withChange(asked, tried.change);
    const again = planPassage(changed, options);
    if (again.status === 'unplayable') continue;
    const saves = answer.price.moves - again.price.moves;
    const savesHasty = answer.price.hasty - again.price.hasty;
    if (saves < 0 || (saves === 0 && savesHasty <= 0)) continue;
    perPlace.set(tried.place, known + 1);
    out.push({
      onset: tried.onset,
      change: tried.change,
      saves,
      savesHasty,
      mends: false,
      price: again.price,
      passage: changed,
    });
  }
  return out.sort((a, b) => b.saves - a.saves || b.savesHasty - a.savesHasty || a.onset - b.onset);
}

/** Conflicts that are looked at one after another until the rest can be played. */
const MOST_CONFLICTS = 12;

/** Changes that make an unplayable passage playable: one note or chord at a time, else notes left out together. */
function mendings(
  passage: Passage,
  options: PlanOptions,
  answer: PlanAnswer & { status: 'unplayable' },
  limit: number,
): Neighbour[] {
  const byId = new Map(passage.plucks.map((p) => [p.id, p]));
  const whole = onsetsOf(passage);
  let work = limit;
  const out: Neighbour[] = [];
  const attempt = (change: Change): void => {
    work -= whole;
    if (work < 0) return;
    const changed = withChange(passage, change);
    const again = planPassage(changed, options);
    if (again.status === 'unplayable') return;
    const onset = (byId.get(change.ids[0] as string) as Pluck).onset;
    out.push({ onset, change, saves: 0, savesHasty: 0, mends: true, price: again.price, passage: changed });
  };
  const leaving = (notes: readonly Pluck[]): Change => ({
    kind: 'leave-out',
    ids: notes.map((p) => p.id),
    from: notes.map((p) => p.pitch),
  });
  const notes = answer.conflict.flatMap((id) => byId.get(id) ?? []);
  const late = new Set<number>();
  for (const note of notes) {
    attempt(leaving([note]));
    if (late.has(note.onset)) continue;
    late.add(note.onset);
    const change = delayed(passage, note.onset);
    if (change !== null) attempt(change);
  }
  if (out.length > 0) return out;
  const dropped: Pluck[] = [];
  let now: PlanAnswer = answer;
  for (let i = 0; i < MOST_CONFLICTS && now.status === 'unplayable'; i++) {
    const last = now.conflict.flatMap((id) => byId.get(id) ?? []).at(-1);
    if (last === undefined) return out;
    dropped.push(last);
    now = planPassage(withChange(passage, leaving(dropped)), options);
  }
  dropped.sort((a, b) => a.onset - b.onset);
  if (now.status !== 'unplayable') {
    work = whole;
    attempt(leaving(dropped));
  }
  return out;
}
