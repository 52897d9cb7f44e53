/** A piano part becomes a harp part: rules propose, a search chooses with hands and pedals, the judge has the last word. */

import { type Ticks, ticks } from '../base/units';
import { finger } from '../figures/fingering';
import { CONCERT_HARP, type Instrument } from '../harp/instrument';
import type { PlannedPassage } from '../harp/planned';
import type { Hand, HarmonyMark, Passage, Pluck, Roll } from '../music/passage';
import { judge } from '../playability/judge';
import { recognizeHarmony } from '../reduction/harmony';
import { measureKept } from '../reduction/measure';
import { chordLookup, rolesOf } from '../reduction/roles';
import { RULES } from '../reduction/rules/index';
import { mergeUnisons } from '../reduction/unisons';
import type { Change, Difficulty, Kept, Rewrite, Role, SustainSpan } from '../reduction/types';
import { changesOf } from './reduce-changes';
import type { HandCourse } from './reduce-hands';
import { holdInFile, livingRolls, mendByDropping, ownPlan, plannedAnew } from './reduce-finish';
import { partPairs, placeMoves } from './reduce-moves';
import { inFlatKeys, isBetterInFlats } from './reduce-keys';
import { type Clock, clockOf } from './reduce-clock';
import { pedalHistory } from './reduce-pedals';
import { type Tuning, sweepNotes, tuningFor } from './reduce-ways';
import { type Unsuited, unsuitedReduction } from './reduce-unsuited';
import { repeatsAlike } from './repeats';
import { type BarInput, type BarResult, GUARD, searchReduction } from './reduce-search';

export interface ReduceRequest {
  /** The piano part as read, with the hands of its staves where known. */
  readonly passage: Passage;
  readonly difficulty?: Difficulty;
  /** Ids of changes that are not wanted. */
  readonly refused?: readonly string[];
  readonly instrument?: Instrument;
  /** Chords, where somebody has corrected them; recognized from the notes otherwise. */
  readonly chords?: readonly HarmonyMark[];
  readonly sustain?: readonly SustainSpan[];
  readonly staccato?: readonly string[];
}

export interface Reduction {
  readonly planned: PlannedPassage;
  readonly changes: readonly Change[];
  readonly kept: Kept;
  /** The chords that the rules went by. */
  readonly chords: readonly HarmonyMark[];
  /** What to say first where the piece does not suit the harp even so; null for most. */
  readonly unsuited: Unsuited | null;
  /** Warnings that remain. */
  readonly problems: ReturnType<typeof judge>;
}

function barInputs(
  passage: Passage,
  roles: ReadonlyMap<string, Role>,
  chords: readonly HarmonyMark[],
  request: ReduceRequest,
  clock: Clock,
  tuning: Tuning,
  refused: ReadonlySet<string>,
): BarInput[] {
  const lookup = chordLookup(chords);
  const staccato = new Set(request.staccato ?? passage.staccato ?? []);
  let p = 0;
  let t = 0;
  return passage.bars.map((bar) => {
    const end = bar.start + bar.length;
    const plucks: Pluck[] = [];
    while (p < passage.plucks.length && (passage.plucks[p] as Pluck).onset < end) {
      plucks.push(passage.plucks[p++] as Pluck);
    }
    const trembles = [];
    while (t < passage.trembles.length && (passage.trembles[t]?.onset ?? Infinity) < end) {
      trembles.push(passage.trembles[t++] as Passage['trembles'][number]);
    }
    const view = {
      passage,
      bar,
      plucks,
      trembles,
      roles,
      chordAt: (at: number) => lookup(at).tones,
      microsAt: (at: number) => clock.microsAt(ticks(at)),
      sustain: request.sustain ?? passage.sustain ?? [],
      staccato,
      tuning,
    };
    const rewrites = RULES.flatMap((rule) => rule.find(view)).filter((r) => !refused.has(r.id));
    const sweeps = passage.sweeps.filter((s) => s.onset >= bar.start && s.onset < end);
    return { bar, plucks, trembles, sweeps, rewrites };
  });
}

const DRY = 'etouffes';

interface Played {
  readonly hands: ReadonlyMap<string, Hand>;
  readonly dropped: readonly { readonly id: string; readonly onset: Ticks | null }[];
  readonly rolls: readonly Roll[];
}

function handHistory(last: HandCourse, onsetOf: ReadonlyMap<string, Ticks>): Played {
  const hands = new Map<string, Hand>();
  const dropped: { id: string; onset: Ticks | null }[] = [];
  const rolls: Roll[] = [];
  for (let c: HandCourse | null = last; c !== null; c = c.from) {
    if (c.choice === null) continue;
    for (const id of c.choice.left) hands.set(id, 'L');
    for (const id of c.choice.right) hands.set(id, 'R');
    for (const id of c.choice.dropped) dropped.push({ id, onset: onsetOf.get(id) ?? null });
    for (const hand of c.choice.rolled) {
      const ids = hand === 'L' ? c.choice.left : c.choice.right;
      rolls.push({ id: `${ids[0]}.roll`, plucks: ids, direction: 'up' });
    }
  }
  return { hands, dropped: dropped.reverse(), rolls: rolls.reverse() };
}

/** Onsets of the refused changes of a code that are named `code@bar.tick`. */
function refusedAt(refused: ReadonlySet<string>, code: string): Set<number> {
  return new Set([...refused].flatMap((id) => (id.startsWith(`${code}@`) ? Number(id.split('.')[1]) : [])));
}

/** Whether an onset lies in a refused change of a code that is named `code@bar.tick` or `code@bar.from-to`. */
function refusedWithin(refused: ReadonlySet<string>, code: string): (at: number) => boolean {
  const spans = [...refused].flatMap((id) => {
    const found = /^([a-z-]+)@\d+\.(\d+)(?:-(\d+))?$/.exec(id);
    return found?.[1] === code ? [[Number(found[2]), Number(found[3] ?? found[2])] as const] : [];
  });
  return (at) => spans.some(([from, to]) => at >= from && at <= to);
}

/** Étouffés of one bar between bars that ring are a stumble: they stay only where a neighbouring bar has them too. */
function inCompany(bars: readonly BarResult[]): readonly BarResult[] {
  const isDry = (b: BarResult | undefined): boolean => b?.rewrites.some((r) => r.code === DRY) === true;
  return bars.map((bar, i): BarResult => {
    if (!isDry(bar) || isDry(bars[i - 1]) || isDry(bars[i + 1])) return bar;
    const plain = new Set(bar.rewrites.filter((r) => r.code === DRY).flatMap((r) => r.remove));
    return {
      ...bar,
      rewrites: bar.rewrites.filter((r) => r.code !== DRY),
      plucks: bar.plucks.map((p) => (plain.has(p.id) ? { ...p, technique: 'ordinary' } : p)),
    };
  });
}

/**
 * Reduces a piano part. Pure and deterministic: the same request gives the same reduction. `progress` is told after
 * every bar and stops the work by answering false; the answer is then null. Never throws for what stands in the part:
 * what no hand and no foot can do is left out and listed in `changes`.
 */
export function reduce(
  request: ReduceRequest,
  progress: (done: number, of: number) => boolean = () => true,
): Reduction | null {
  const difficulty = request.difficulty ?? 'idiomatic';
  const instrument = request.instrument ?? CONCERT_HARP;
  const refused = new Set(request.refused ?? []);
  const piano = request.passage;
  const chords = request.chords ?? recognizeHarmony(piano);
  const inFlats = !refused.has('many-sharps@0.0') && isBetterInFlats(piano, instrument);
  const passage = mergeUnisons(inFlats ? inFlatKeys(piano) : piano);
  const roles = rolesOf(passage, chords);
  const clock = clockOf(passage);
  const tuning = tuningFor(passage, instrument);
  const inputs = barInputs(passage, roles, chords, request, clock, tuning, refused);
  const guarded = new Set(
    [...refused].flatMap((id) =>
      /^(?:thinned|no-pedal)@/.test(id) ? id.replace(/^[^:]*:/, '').split('+') : [],
    ),
  );
  const found = searchReduction(
    {
      bars: inputs,
      rolls: passage.rolls,
      roles,
      difficulty,
      instrument,
      clock,
      tuning,
      guarded,
      keptHands: refusedWithin(refused, 'shared'),
      unrolled: refusedAt(refused, 'rolled'),
    },
    progress,
  );
  if (found === null) return null;
  const worth = (id: string): number => (roles.get(id)?.worth ?? 40) * (guarded.has(id) ? GUARD : 1);
  const bars = inCompany(found.bars);
  const chosen: Rewrite[] = bars.flatMap((b) => b.rewrites);
  const all: Pluck[] = bars.flatMap((b: BarResult) => b.plucks);
  const played = handHistory(found.hands, new Map(all.map((p) => [p.id, p.onset])));
  const pedals = pedalHistory(found.pedals);
  const gone = new Set([...played.dropped.map((d) => d.id), ...pedals.dropped]);
  const kept = all
    .filter((p) => !gone.has(p.id))
    .map((p) => ({ ...p, hand: played.hands.get(p.id) ?? p.hand }));
  const alive = new Set(kept.map((p) => p.id));
  // Pedal and dots of the piano are answered by ring, damps and étouffés.
  const { staccato: _dots, sustain: _pedal, ...printed } = passage;
  const asked: Passage = {
    ...printed,
    plucks: kept,
    rolls: livingRolls([...chosen.flatMap((r) => r.rolls ?? []), ...played.rolls, ...passage.rolls], alive),
    trembles: bars.flatMap((b) => b.trembles.filter((t) => t.notes.every((n) => !gone.has(n.id)))),
    sweeps: bars.flatMap((b) => b.sweeps.filter((s) => sweepNotes(s).every((n) => !gone.has(n.id)))),
    damps: [...passage.damps, ...chosen.flatMap((r) => r.damps ?? [])].sort((a, b) => a.onset - b.onset),
  };
  const own = mendByDropping(ownPlan(asked, pedals, instrument, tuning), worth);
  const placed = placeMoves(own.planned, clock);
  const sound = judge(placed).every((p) => p.severity !== 'error');
  const again = plannedAnew(sound ? placed : own.planned);
  const parted = partPairs(again, clock);
  const calm = judge(parted).every((p) => p.severity !== 'error') ? parted : again;
  const held = holdInFile(calm, worth);
  const planned = repeatsAlike(finger(held.planned));
  const changes = changesOf({
    piano: passage,
    planned,
    chosen,
    handsDropped: played.dropped.map((d) => d.id),
    pedalsDropped: pedals.dropped,
    judgeDropped: [...own.dropped, ...held.dropped],
    handRolls: played.rolls,
    inFlats,
    refused,
  });
  const problems = judge(planned);
  return {
    planned,
    changes,
    kept: measureKept(piano, planned.passage, chords),
    chords,
    unsuited: unsuitedReduction(planned, problems, clock),
    problems,
  };
}
