/** Homophones at work: one pitch repeated on two strings in turn, and an ostinato whose strings share its pitches. */

import type { Problem } from '../base/problem';
import { type Result, fail, ok } from '../base/result';
import { ticks } from '../base/units';
import { stringOf } from '../harp/strings';
import { beatTicks, isCompound } from '../music/metre';
import type { Dynamic, Hand, Roll } from '../music/passage';
import { type Pitch, midiOf, octaveShift } from '../music/pitch';
import { type Note, composePassage } from './compose';
import { craftOf } from './craft';
import { type Doubling, type Pair, type Tuning, doublings, pairsOf, spelledBy } from './homophones';
import { paces, unsuited } from './interpreter';
import { checkHands, microsOf } from './limits';
import { compassOf } from './register';
import { type Segment, segmentsOf, stepFor } from './segments';
import { ladder } from './spelling';
import type { FigureBrief, FigureDraft, FigureFamily } from './types';
import { type Voicing, voice } from './voicing';

/** One stroke of a pattern: a string of the row, counted from 0, and the hand; null is a rest. */
type Step = readonly [Hand, number] | null;
interface Pattern {
  readonly name: string;
  /** Steps of a cell; it begins again at each felt beat or bar as it comes. */
  readonly steps: readonly Step[];
  /** Steps to the felt beat that suit. */
  readonly perBeat: readonly number[];
  /** The left hand strikes the bass first; where it also plays the row it leaves the first beat to the right. */
  readonly bass: boolean;
}

const R = (i: number): Step => ['R', i];
const L = (i: number): Step => ['L', i];

/** Repeated notes on two strings: Berlioz, Grand traité (1844/55), on synonymous strings; rhythms common practice. */
const REPEATS: readonly Pattern[] = [
  { name: 'even, in the right hand', steps: [R(1), R(0)], perBeat: [2, 4, 3], bass: true },
  {
    name: 'long and two short, in the right hand',
    steps: [R(1), null, R(0), R(1)],
    perBeat: [4, 2],
    bass: true,
  },
  { name: 'after a rest, in the right hand', steps: [null, R(0), R(1), R(0)], perBeat: [4, 2], bass: true },
  {
    name: 'triplets, in the right hand',
    steps: [R(1), R(0), R(1), R(0), R(1), R(0)],
    perBeat: [3],
    bass: true,
  },
  { name: 'from hand to hand', steps: [R(1), L(0)], perBeat: [4, 6, 3, 2], bass: true },
  { name: 'from hand to hand, with gaps', steps: [R(1), L(0), R(1), null], perBeat: [4, 8], bass: true },
];

const OSTINATI: readonly Pattern[] = [
  {
    name: 'threes from hand to hand',
    steps: [L(0), L(1), L(2), R(3), R(4), R(5)],
    perBeat: [3, 6, 2],
    bass: false,
  },
  {
    name: 'a wave of threes',
    steps: [L(0), L(1), L(2), R(3), R(4), R(5), R(4), R(3)],
    perBeat: [4, 2, 8],
    bass: false,
  },
  {
    name: 'hands in turn',
    steps: [L(0), R(3), L(1), R(4), L(2), R(5), L(1), R(4)],
    perBeat: [4, 2],
    bass: false,
  },
  { name: 'fours over a bass', steps: [R(0), R(1), R(2), R(3)], perBeat: [4, 2], bass: true },
  {
    name: 'turning over a bass',
    steps: [R(0), R(1), R(2), R(3), R(2), R(1)],
    perBeat: [3, 2, 4],
    bass: true,
  },
];

interface Kind {
  readonly id: string;
  readonly patterns: readonly Pattern[];
  readonly dynamics: readonly Dynamic[];
  /** Pitch classes on two strings that a tuning should have. */
  readonly least: number;
  /** Steps a second liked, least and most. */
  readonly rate: readonly [number, number];
  readonly rows: (pattern: Pattern) => (tuning: Tuning, segment: Segment) => readonly (readonly Pitch[])[];
}

/** A chord of D, G and A has no homophone: its tones are repeated in octaves. */
const octavesOf = (tuning: Tuning): Pair[] =>
  ladder(tuning.tones, 20, 27).map((p) => [p, octaveShift(p, 1)] as const);

const repeatRows: Kind['rows'] = () => (tuning) =>
  tuning.doubled.length > 0 ? pairsOf(tuning, 20, 34) : octavesOf(tuning);

/** Rows of neighbouring strings of the tuning: from the bass up where the row is its own bass, else about the middle. */
const ostinatoRows: Kind['rows'] = (pattern) => {
  const count = 1 + Math.max(...pattern.steps.map((s) => s?.[1] ?? 0));
  return (tuning, segment) => {
    const rungs = [...ladder(tuning.tones, pattern.bass ? 19 : 12, 38)].sort(
      (a, b) => stringOf(a) - stringOf(b),
    );
    return rungs.flatMap((low, i) => {
      const row = rungs.slice(i, i + count);
      const own = pattern.bass || midiOf(low) % 12 === segment.spelled.bass.pc;
      const pitches = new Set(row.map(midiOf)).size;
      const lowest = pattern.bass || row.every((p) => midiOf(p) >= midiOf(low));
      const start = pattern.bass ? 30 : 25;
      const shared = tuning.doubled.length === 0 || pitches < row.length;
      return row.length === count && own && lowest && shared && stringOf(low) <= start ? [row] : [];
    });
  };
};

interface Plan {
  readonly kind: Kind;
  readonly pattern: Pattern;
  readonly perBeat: number;
  readonly dynamic: Dynamic;
  readonly rows: readonly Doubling[];
  readonly voicings: readonly Voicing[];
  readonly segments: readonly Segment[];
}

/** The notes of a chord: the bass where the pattern has one, then the pattern's strings step by step. */
function stretch(
  { pattern, perBeat, dynamic, rows, voicings, segments }: Plan,
  i: number,
  beat: number,
): Note[] {
  const s = segments[i] as Segment;
  const { strings } = rows[i] as Doubling;
  const voicing = voicings[i] as Voicing;
  const end = s.onset + s.duration;
  const note = (
    pitch: Pitch,
    hand: Hand,
    onset: number,
    duration: number,
    ring = false,
    roll: Roll['direction'] | null = null,
  ): Note => ({
    onset: ticks(onset),
    duration: ticks(duration),
    pitch,
    fixed: true,
    hand,
    technique: 'ordinary',
    dynamic,
    ring,
    roll,
  });
  if (s.last) {
    const close = (pitch: Pitch, hand: Hand): Note => ({
      ...note(pitch, hand, s.onset, s.duration, true, 'up'),
      fixed: false,
    });
    return [...voicing.left.map((p) => close(p, 'L')), ...voicing.right.map((p) => close(p, 'R'))];
  }
  const bothHands = pattern.steps.some((x) => x?.[0] === 'L');
  const waits = pattern.bass && bothHands;
  const step = stepFor(s.duration, beat / perBeat);
  const from = waits ? Math.min(beat, Math.floor(s.duration / 2)) : 0;
  const out: Note[] = [];
  if (pattern.bass) for (const p of voicing.left) out.push(note(p, 'L', s.onset, waits ? from : s.duration));
  if (waits) out.push(note(strings[1] as Pitch, 'R', s.onset, from));
  for (let at = Math.ceil(from / step) * step, k = 0; at < s.duration; at += step, k++) {
    const x = pattern.steps[k % pattern.steps.length];
    if (x === null || x === undefined) continue;
    // A single rest inside a cell lets the stroke before it ring on.
    const held =
      pattern.steps[(k + 1) % pattern.steps.length] === null && k + 1 < pattern.steps.length ? 2 : 1;
    out.push(note(strings[x[1]] as Pitch, x[0], s.onset + at, Math.min(held * step, s.duration - at)));
  }
  return out.filter((n) => n.onset < end);
}

/** Steps a beat to try: liked rates by chance, then slower ones. */
function order(kind: Kind, pattern: Pattern, brief: FigureBrief): number[] {
  const { metre } = brief.progression;
  const beat = microsOf(beatTicks(metre), brief.milliBpm);
  const all = paces(pattern.perBeat, isCompound(metre));
  const rate = (n: number): number => (n * 1_000_000) / beat;
  const liked = all.filter((n) => rate(n) >= kind.rate[0] && rate(n) <= kind.rate[1]);
  const slower = all.filter((n) => rate(n) < kind.rate[0]).sort((a, b) => b - a);
  return [...brief.random.shuffle(liked), ...slower, 1, 0.5];
}

function draft(kind: Kind, brief: FigureBrief): Result<FigureDraft> {
  const { progression, random } = brief;
  const plain = segmentsOf(progression);
  const compass = compassOf(brief.instrument);
  if (plain.length === 0) return fail(unsuited(kind.id, 'no chord', 'a chord'));
  const dynamic = brief.dynamic ?? random.pick(kind.dynamics);
  const beat = beatTicks(progression.metre);
  let reason: readonly Problem[] | null = null;
  for (const pattern of random.shuffle(kind.patterns)) {
    const rows = doublings(plain, kind.least, (pattern.bass ? 22 : 15) + random.below(6), kind.rows(pattern));
    if (rows === null) continue;
    // The close needs no second string: it is spelt as the chord is.
    const segments = plain.map((s, i) =>
      s.last ? s : { ...s, spelled: spelledBy((rows[i] as Doubling).tuning, s.spelled) },
    );
    // The close lies where the figure lay.
    const high = stringOf(((rows.at(-2) ?? rows[0]) as Doubling).strings.at(-1) as Pitch);
    const voicings = voice(
      segments,
      {
        left: { form: random.pick(['bass', 'octave', 'low'] as const), notes: 2, window: [7, 13], reach: 7 },
        right: { form: 'close', notes: 3, window: [Math.max(16, high - 8), high + 4], joined: false },
        aim: high + 1,
        rootless: false,
      },
      compass,
    );
    for (const perBeat of order(kind, pattern, brief)) {
      const plan: Plan = { kind, pattern, perBeat, dynamic, rows, voicings, segments };
      const notes = segments.flatMap((_, i) => stretch(plan, i, beat));
      const passage = composePassage(brief, { notes });
      const checked = checkHands(passage, compass);
      if (!checked.ok) {
        reason ??= checked.problems;
        continue;
      }
      const shared = rows.filter((r) => r.tuning.doubled.length > 0).length;
      const some = shared < rows.length ? ', octaves where no two strings agree' : '';
      const rate = perBeat < 1 ? 'every other beat' : `${perBeat} to a beat`;
      return ok({
        variant: `${pattern.name}, ${rate}${kind.id === 'homophone-repeats' ? some : ''}`,
        passage,
        craft: craftOf(
          passage,
          segments.map((s) => s.onset),
        ),
      });
    }
  }
  return fail(...(reason ?? [unsuited(kind.id, brief.milliBpm / 1000, 'a slower tempo')]));
}

const REPEATED: Kind = {
  id: 'homophone-repeats',
  patterns: REPEATS,
  dynamics: ['p', 'mp', 'mf', 'f'],
  least: 1,
  rate: [2.5, 8],
  rows: repeatRows,
};
const OSTINATO: Kind = {
  id: 'homophone-ostinato',
  patterns: OSTINATI,
  dynamics: ['pp', 'p', 'mp', 'mf'],
  least: 2,
  rate: [3, 10],
  rows: ostinatoRows,
};

export const HOMOPHONE_REPEATS: FigureFamily = {
  id: REPEATED.id,
  name: 'Repeated notes on two strings',
  serves:
    'A pulse that one string could not give: the same pitch on two strings in turn, for urgency or a bell.',
  draft: (brief) => draft(REPEATED, brief),
};

export const HOMOPHONE_OSTINATO: FigureFamily = {
  id: OSTINATO.id,
  name: 'Ostinato on doubled strings',
  serves:
    'A shimmer without a tremolo: a row of neighbouring strings on which four or five pitches sound twice.',
  draft: (brief) => draft(OSTINATO, brief),
};
