/** Where a plan spends a move: every small change of the music there that might save it. */

import { type Ticks, ticks } from '../base/units';
import { type Move, type PlannedPassage, settingAt } from '../harp/planned';
import {
  PEDALS,
  type Position,
  type Setting,
  positionOf,
  settingDistance,
  withPosition,
} from '../harp/setting';
import { stringOf } from '../harp/strings';
import { pitchClassMask, sweepSettings } from '../harp/sweep-settings';
import { barAt, beatTicks } from '../music/metre';
import type { Passage, Pluck, Sweep } from '../music/passage';
import { type Letter, type Pitch, harpSpellings, midiOf, pitchClass } from '../music/pitch';
import type { PlanOptions } from '../pedals/types';
import type { Change } from './changes';
import { type Harmony, harmonyAt } from './harmony-here';

/** At most this many other tones, and as many other tensions, for one place. */
export const PER_PLACE = 2;
/** A change of more notes than this is no small one. */
const MOST_NOTES = 8;
/** Notes changed where a harmony is held over. */
const MOST_HELD = 16;
/** A tone is replaced by one at most this many semitones away (common practice: the line stays near). */
const NEAR = 5;
/** Settings that a glissando gets beside its own, the nearest to what stands. */
const MOST_SETTINGS = 8;
/** Two notes change about only within this many semitones. */
const SWAP = 12;

export interface Tried {
  readonly onset: Ticks;
  readonly change: Change;
  /** Number of the plan's move that it might save. */
  readonly place: number;
  /** The harmony there. */
  readonly harmony: Harmony | null;
}

/** The plucks for which a move is made: those of its letter in its new position until the letter's next move. */
function served(plucks: readonly Pluck[], move: Move, moves: readonly Move[]): Pluck[] {
  const next = moves.find((m) => m.letter === move.letter && m.onset > move.onset)?.onset ?? Infinity;
  return plucks.filter(
    ({ pitch, onset }) =>
      pitch.letter === move.letter && pitch.alter === move.to && onset >= move.onset && onset <= next,
  );
}

const away = (p: Pitch, from: Pitch): number => Math.abs(midiOf(p) - midiOf(from));

/** Octaves of a letter at a position that lie near a pitch, the nearest first. */
const nearPitches = (letter: Letter, alter: -1 | 0 | 1, to: Pitch): Pitch[] =>
  [to.octave - 1, to.octave, to.octave + 1]
    .map((octave): Pitch => ({ letter, alter, octave }))
    .filter((p) => away(p, to) <= NEAR && away(p, to) > 0)
    .sort((a, b) => away(a, to) - away(b, to));

/** Keys struck or held with a note, itself left out. */
const struckWith = (passage: Passage, onset: Ticks, but: ReadonlySet<string>): Set<number> =>
  new Set(passage.plucks.filter((p) => p.onset === onset && !but.has(p.id)).map((p) => midiOf(p.pitch)));

/** These notes on strings that stand right without the move and sound one of some pitch classes, the nearest first. */
export function replacements(
  use: readonly Pluck[],
  passage: Passage,
  standing: Setting,
  wanted: readonly number[],
  discless: ReadonlySet<number>,
): Pitch[][] {
  const own = midiOf((use[0] as Pluck).pitch) % 12;
  const ids = new Set(use.map((p) => p.id));
  const open = new Set(wanted.filter((pc) => pc !== own));
  const taken = use.map((note) => struckWith(passage, note.onset, ids));
  const ways: { readonly to: Pitch[]; readonly far: number }[] = [];
  for (const letter of PEDALS) {
    const position = positionOf(standing, letter);
    const pc = pitchClass(letter, position);
    if (!open.has(pc)) continue;
    const to = use.map((note, i) =>
      nearPitches(letter, position, note.pitch).find(
        (p) => !(taken[i] as Set<number>).has(midiOf(p)) && !discless.has(stringOf(p)),
      ),
    );
    if (to.some((p) => p === undefined)) continue;
    open.delete(pc);
    const pitches = to as Pitch[];
    ways.push({ to: pitches, far: pitches.reduce((n, p, i) => n + away(p, (use[i] as Pluck).pitch), 0) });
  }
  return ways.sort((a, b) => a.far - b.far).map((w) => w.to);
}

/** All plucks of an onset a beat later, where nothing else is struck until then; null where something is. */
export function delayed(passage: Passage, onset: Ticks): Change | null {
  const beat = beatTicks(barAt(passage.bars, onset).metre);
  const others = [...passage.plucks, ...passage.sweeps, ...passage.trembles];
  if (others.some((p) => p.onset > onset && p.onset <= onset + beat)) return null;
  const chord = passage.plucks.filter((p) => p.onset === onset);
  const last = passage.bars.at(-1);
  if (chord.length === 0 || last === undefined || onset + beat >= last.start + last.length) return null;
  return {
    kind: 'delay',
    ids: chord.map((p) => p.id),
    from: chord.map((p) => p.pitch),
    by: beat,
    alone: false,
  };
}

/** One note of a chord a beat after the rest, where its string is not struck before. */
export function delayedAlone(passage: Passage, note: Pluck): Change | null {
  const by = beatTicks(barAt(passage.bars, note.onset).metre);
  const last = passage.bars.at(-1);
  const chord = passage.plucks.some((p) => p.onset === note.onset && p.id !== note.id);
  const again = passage.plucks.some(
    (p) => p.onset > note.onset && p.onset <= note.onset + by && midiOf(p.pitch) === midiOf(note.pitch),
  );
  if (!chord || again || last === undefined || note.onset + by >= last.start + last.length) return null;
  return { kind: 'delay', ids: [note.id], from: [note.pitch], by, alone: true };
}

/** The harmony before stands on for a beat, or for as long as the new one would, in place of it. */
export function heldOver(passage: Passage, harmonies: readonly Harmony[], onset: Ticks): Change[] {
  const now = harmonyAt(harmonies, onset);
  const before = now === null ? undefined : harmonies.findLast((h) => h.to === now.from);
  if (now === null || before === undefined) return [];
  const bar = barAt(passage.bars, now.from);
  const beat = ticks(now.from + beatTicks(bar.metre));
  const ends = [...(beat < now.to ? [beat] : []), ...(now.to - now.from <= bar.length ? [now.to] : [])];
  const tones = before.tones.filter((t) => Math.abs(t.alter) <= 1);
  const old = new Set(tones.map((t) => t.pc));
  const made = ends.flatMap((until): Change[] => {
    if (onset >= until) return [];
    const here = passage.plucks.filter((p) => p.onset >= now.from && p.onset < until);
    const foreign = here.filter((p) => !old.has(midiOf(p.pitch) % 12));
    if (foreign.length === 0 || foreign.length > MOST_HELD) return [];
    const but = new Set(foreign.map((p) => p.id));
    const taken = new Map<number, Set<number>>();
    const to: Pitch[] = [];
    for (const note of foreign) {
      const keys = taken.get(note.onset) ?? struckWith(passage, note.onset, but);
      taken.set(note.onset, keys);
      const found = tones
        .flatMap((t) => nearPitches(t.letter, t.alter as -1 | 0 | 1, note.pitch))
        .filter((p) => !keys.has(midiOf(p)))
        .sort((a, b) => away(a, note.pitch) - away(b, note.pitch) || midiOf(a) - midiOf(b))[0];
      if (found === undefined) return [];
      keys.add(midiOf(found));
      to.push(found);
    }
    const whole = until === now.to;
    return [
      {
        kind: 'hold',
        ids: foreign.map((p) => p.id),
        from: foreign.map((p) => p.pitch),
        to,
        chord: before.name,
        over: now.name,
        since: now.from,
        until: whole ? null : until,
      },
    ];
  });
  // Where all that is foreign lies in the first beat, both are the same.
  const [first, second] = made;
  return first?.ids.length === second?.ids.length ? made.slice(-1) : made;
}

/** A note of a figure changes places with the note struck before or after it, in one harmony. */
function swaps(passage: Passage, note: Pluck, harmony: Harmony | null): Change[] {
  const at = passage.plucks.findIndex((p) => p.id === note.id);
  const neighbours = [passage.plucks[at - 1], passage.plucks[at + 1]].filter((p) => p !== undefined);
  const alone = (p: Pluck): boolean =>
    passage.plucks.filter((q) => q.onset === p.onset).length === 1 && p.technique === note.technique;
  if (at < 0 || !alone(note)) return [];
  return neighbours
    .filter((p) => alone(p) && away(p.pitch, note.pitch) > 0 && away(p.pitch, note.pitch) <= SWAP)
    .filter((p) => harmony === null || (p.onset >= harmony.from && p.onset < harmony.to))
    .map((p) => ({
      kind: 'swap',
      ids: [note.id, p.id],
      from: [note.pitch, p.pitch],
      to: [p.pitch, note.pitch],
    }));
}

/** The other spelling of notes that may not be respelt freely. */
export function respelt(use: readonly Pluck[], options: PlanOptions): Change | null {
  if (!options.keepSpelling && use.every((p) => p.fixed !== true)) return null;
  const to = use.map((p) => harpSpellings(midiOf(p.pitch)).find((q) => q.letter !== p.pitch.letter));
  if (to.some((p) => p === undefined)) return null;
  return {
    kind: 'respell',
    ids: use.map((p) => p.id),
    from: use.map((p) => p.pitch),
    to: to as Pitch[],
  };
}

/** A glissando with one or two tensions of its chord beside what it asks for. */
function widened(sweep: Sweep, harmony: Harmony, standing: Setting): Change | null {
  const chord = harmony.tones.map((t) => t.pc);
  const naming = harmony.tones.filter((t) => t.degree !== 5).map((t) => t.pc);
  const found = sweepSettings(
    pitchClassMask([...chord, ...harmony.tensions]),
    pitchClassMask(harmony.tensions.length === 0 ? chord : naming),
  );
  // The sort is stable: of the same distance those that do not cross stay first.
  const near = [...found].sort((a, b) => settingDistance(a, standing) - settingDistance(b, standing));
  const settings = [...new Set([...sweep.settings, ...near.slice(0, MOST_SETTINGS)])];
  return settings.length === sweep.settings.length
    ? null
    : { kind: 'sweep', ids: [sweep.id], from: [], settings };
}

/** Every change that is tried for a plan, by the move that it might save. */
export function waysOf(
  planned: PlannedPassage,
  harmonies: readonly Harmony[],
  options: PlanOptions,
): Tried[] {
  const { passage, moves } = planned;
  const discless = new Set(options.instrument.discless);
  const pedalled = passage.plucks.filter((p) => !discless.has(stringOf(p.pitch)));
  const out: Tried[] = [];
  const consider = (use: readonly Pluck[], letter: Letter, otherwise: Position, place: number): void => {
    const first = use[0];
    if (first === undefined) return;
    const harmony = harmonyAt(harmonies, first.onset);
    const offer = (change: Change): void => void out.push({ onset: first.onset, change, place, harmony });
    const bar = barAt(passage.bars, first.onset);
    const last = (use.at(-1) as Pluck).onset;
    for (const change of heldOver(passage, harmonies, first.onset)) offer(change);
    if (use.length > MOST_NOTES || last - first.onset >= bar.length) return;
    const [ids, from] = [use.map((p) => p.id), use.map((p) => p.pitch)];
    const left = new Set(ids);
    const sounds = use.every((u) => passage.plucks.some((p) => p.onset === u.onset && !left.has(p.id)));
    if (sounds) offer({ kind: 'leave-out', ids, from });
    const standing = withPosition(settingAt(planned, first.onset), letter, otherwise);
    const end = bar.start + bar.length;
    const inBar = passage.plucks.filter((p) => p.onset >= bar.start && p.onset < end);
    const tones = harmony?.tones.map((t) => t.pc) ?? inBar.map((p) => midiOf(p.pitch) % 12);
    const others = (wanted: readonly number[]): Pitch[][] =>
      replacements(use, passage, standing, wanted, discless).slice(0, PER_PLACE);
    for (const to of others(tones)) offer({ kind: 'replace', ids, from, to });
    // A tension takes no third's place, nor the root's at the bottom.
    const degree = harmony?.tones.find((t) => t.pc === midiOf(first.pitch) % 12)?.degree;
    const lowest = passage.plucks.find((p) => p.onset === first.onset)?.id === first.id;
    const bears = degree !== 3 && !(degree === 1 && lowest);
    for (const to of others(bears ? (harmony?.tensions ?? []) : []))
      offer({ kind: 'tension', ids, from, to });
    const spelt = respelt(use, options);
    if (spelt !== null) offer(spelt);
    if (use.length === 1) for (const change of swaps(passage, first, harmony)) offer(change);
  };
  moves.forEach((move, place) => {
    const use = served(pedalled, move, moves);
    const first = use[0];
    if (first !== undefined) {
      const late = delayed(passage, first.onset) ?? delayedAlone(passage, first);
      const harmony = harmonyAt(harmonies, first.onset);
      if (late !== null) out.push({ onset: first.onset, change: late, place, harmony });
    }
    consider(use, move.letter, move.from, place);
    const sweep = passage.sweeps.find((s) => s.onset >= move.onset);
    const chord = sweep === undefined ? null : harmonyAt(harmonies, sweep.onset);
    if (sweep !== undefined && chord !== null && (first === undefined || sweep.onset <= first.onset)) {
      const before = settingAt(planned, ticks(Math.max(0, move.onset - 1)));
      const change = widened(sweep, chord, before);
      if (change !== null) out.push({ onset: sweep.onset, change, place, harmony: chord });
    }
    // Before a pedal's first move: the notes for which it stands where it is set at first.
    if (moves.find((m) => m.letter === move.letter) !== move) return;
    const before = pedalled.filter(
      ({ pitch, onset }) => pitch.letter === move.letter && pitch.alter === move.from && onset <= move.onset,
    );
    consider(before, move.letter, move.to, place);
  });
  return out;
}

/** Each change once (two moves of one place try the same), and the kinds of every place before the next kinds. */
export function distinct(all: readonly Tried[]): Tried[] {
  const seen = new Set<string>();
  const turns = new Map<number, number>();
  const once: { readonly tried: Tried; readonly turn: number }[] = [];
  for (const tried of all) {
    const key = JSON.stringify(tried.change);
    if (seen.has(key)) continue;
    seen.add(key);
    const turn = turns.get(tried.place) ?? 0;
    turns.set(tried.place, turn + 1);
    once.push({ tried, turn });
  }
  return once.sort((a, b) => a.turn - b.turn || a.tried.place - b.tried.place).map((x) => x.tried);
}
