/** Sweeps: which setting, how far, how long, and whether the hands have time to get there and away. */

import { glissSets } from '../harmony/gliss';
import type { Chord } from '../harmony/types';
import { type Setting, keySetting, settingDistance } from '../harp/setting';
import { pitchClassMask, settingCrosses, sweepSettings } from '../harp/sweep-settings';
import { stringOf } from '../harp/strings';
import { beatTicks, isCompound } from '../music/metre';
import type { Hand } from '../music/passage';
import type { Pitch } from '../music/pitch';
import { HAND_LIMITS, RIGHT_LOWEST, microsOf } from './limits';
import { type Range, compassOf } from './register';
import type { Segment } from './segments';
import type { FigureBrief } from './types';
import type { Voicing } from './voicing';

/** Strings a second (trade figures; common practice). */
export const SWEEP_RATE = { slowest: 15, fastest: 45 } as const;
/** Settings offered to the plan for one sweep. */
const MOST_SETTINGS = 48;
/** Strings of a sweep worth the name. */
const SHORTEST = 9;

/**
 * Settings for a sweep on a chord: those of its purest set of pitch classes or, coloured, of every set that it
 * bears without an avoid note, nearest to the key first. Without crossing strings where any such exists. Not empty.
 */
export function settingsFor(chord: Chord, coloured: boolean, fifths: number): readonly Setting[] {
  const sets = glissSets(chord);
  const found = (coloured ? sets : sets.slice(0, 1)).flatMap((pcs) => {
    const mask = pitchClassMask(pcs);
    return [...sweepSettings(mask, mask)];
  });
  const clear = found.filter((s) => !settingCrosses(s));
  const home = keySetting(fifths);
  return (clear.length > 0 ? clear : found)
    .map((setting) => ({ setting, away: settingDistance(setting, home) }))
    .sort((a, b) => a.away - b.away || a.setting - b.setting)
    .slice(0, MOST_SETTINGS)
    .map((x) => x.setting);
}

export interface Size {
  readonly duration: number;
  readonly strings: number;
}

/** Note values for a sweep of at most `strings`, in random order, with the strings that each may cross. */
function sizes(segment: Segment, brief: FigureBrief, strings: number): Size[] {
  const beat = beatTicks(brief.progression.metre);
  const third = isCompound(brief.progression.metre);
  // A sixteenth only where it is slow enough to be heard as a sweep.
  const sixteenth = microsOf(beat / 4, brief.milliBpm) >= 400_000 ? [beat / 4] : [];
  const parts = third ? [beat / 3, (2 * beat) / 3] : [...sixteenth, beat / 2];
  const values = [...parts, beat, 2 * beat, 3 * beat, ...(third ? [] : [segment.duration / 2])]
    .filter((d, i, all) => Number.isInteger(d) && d <= segment.duration / 2 && all.indexOf(d) === i)
    .flatMap((d) => {
      const micros = microsOf(d, brief.milliBpm);
      const least = Math.ceil((SWEEP_RATE.slowest * micros) / 1_000_000);
      const most = Math.floor((SWEEP_RATE.fastest * micros) / 1_000_000);
      const n = Math.min(strings, most);
      return n >= Math.max(SHORTEST, least) ? [{ duration: d, strings: n }] : [];
    });
  return brief.random.shuffle(values);
}

type Shape = 'arrive' | 'depart' | 'fall' | 'arch';
type Contrary = 'open' | 'close';

export interface Scene {
  readonly segment: Segment;
  readonly voicing: Voicing;
  /** The chord reached; the same one where it is the last. */
  readonly goal: Voicing;
}

/** A sweep before it is placed: ends, and times from the end (or for a departure, the start) of the stretch. */
export interface Stroke {
  readonly hand: Hand;
  readonly from: number;
  readonly to: number;
  /** Ticks from the first sweep's start. */
  readonly delay: number;
  readonly duration: number;
}

export interface Style {
  readonly name: string;
  /** It starts with the bass and the right hand lands inside the stretch. */
  readonly departs: boolean;
  /** At most a beat, or two beats and more; any length where absent. */
  readonly length?: 'short' | 'long';
  readonly strokes: (scene: Scene, size: Size, brief: FigureBrief) => Stroke[];
}

const top = (v: Voicing): number => stringOf(v.right.at(-1) as Pitch);
const bottom = (v: Voicing): number => stringOf(v.left[0] as Pitch);
/** A sweep stops two strings before its goal: a respelt goal moves by one, and no string is struck twice. */
const SHORT_OF = 2;

const single =
  (shape: Shape): Style['strokes'] =>
  ({ voicing, goal }, { duration, strings }, brief) => {
    if (shape === 'depart' || shape === 'arrive') {
      const to = top(shape === 'depart' ? voicing : goal) - SHORT_OF;
      return [{ hand: 'R', from: to - strings, to, delay: 0, duration }];
    }
    const peak = Math.min(compassOf(brief.instrument)[1], top(goal) + 5);
    if (shape === 'fall') return [{ hand: 'R', from: peak, to: peak - strings, delay: 0, duration }];
    const half = duration / 2;
    if (!Number.isInteger(half)) return [];
    const most = Math.floor((SWEEP_RATE.fastest * microsOf(half, brief.milliBpm)) / 1_000_000);
    const low = peak - Math.min(strings, most);
    return [
      { hand: 'R', from: low, to: peak, delay: 0, duration: half },
      { hand: 'R', from: peak - 1, to: low, delay: half, duration: half },
    ];
  };

const contrary =
  (shape: Contrary): Style['strokes'] =>
  ({ goal }, { duration, strings }) => {
    const [low, high] = [bottom(goal) + SHORT_OF, top(goal) - SHORT_OF];
    const middle = Math.max(RIGHT_LOWEST + 4, (low + high) >> 1);
    const left = { outer: Math.max(low, middle - strings), inner: middle };
    const right = { outer: Math.min(high, middle + 1 + strings), inner: middle + 1 };
    const ends = (x: typeof left): { from: number; to: number } =>
      shape === 'open' ? { from: x.inner, to: x.outer } : { from: x.outer, to: x.inner };
    return [
      { hand: 'L', ...ends(left), delay: 0, duration },
      { hand: 'R', ...ends(right), delay: 0, duration },
    ];
  };

export const SINGLE: readonly Style[] = [
  { name: 'rising into the next chord', departs: false, strokes: single('arrive') },
  { name: 'a short upbeat into the next chord', departs: false, length: 'short', strokes: single('arrive') },
  { name: 'a long rise into the next chord', departs: false, length: 'long', strokes: single('arrive') },
  { name: 'rising from the bass', departs: true, strokes: single('depart') },
  { name: 'falling', departs: false, strokes: single('fall') },
  { name: 'rising and falling', departs: false, strokes: single('arch') },
];
export const CONTRARY: readonly Style[] = [
  { name: 'opening outwards', departs: false, strokes: contrary('open') },
  { name: 'closing inwards', departs: false, strokes: contrary('close') },
];

/** A sweep by one hand, with fingers or the other hand so many strings below it (three fingers: Berlioz, Grand traité, p. 90). */
const beside =
  (shape: Exclude<Shape, 'arch'>, below: readonly number[], hand: Hand): Style['strokes'] =>
  (scene, size, brief) =>
    single(shape)(scene, size, brief).flatMap((s) => [
      s,
      ...below.map((d) => ({ ...s, hand, from: s.from - d, to: s.to - d })),
    ]);

const WAYS = [
  ['arrive', 'rising into the next chord', false],
  ['depart', 'rising from the bass', true],
  ['fall', 'falling', false],
] as const;
/** Both hands an octave apart, thirds in one hand, triads in three of its fingers. */
const PARALLELS = [
  ['in octaves', [7], 'L'],
  ['in thirds', [2], 'R'],
  ['with three fingers', [2, 4], 'R'],
] as const;
export const PARALLEL: readonly Style[] = PARALLELS.flatMap(([fingers, below, hand]) =>
  // A left hand that has just struck the bass does not sweep at once.
  WAYS.filter(([, , departs]) => !departs || hand === 'R').map(([shape, way, departs]) => ({
    name: `${fingers}, ${way}`,
    departs,
    strokes: beside(shape, below, hand),
  })),
);

/** Within the hand's reach, long enough, neither too slow nor too fast. */
function sweepable(s: Stroke, milliBpm: number, compass: Range): boolean {
  const count = Math.abs(s.to - s.from);
  const low = s.hand === 'R' ? RIGHT_LOWEST : compass[0];
  const rate = (count * 1_000_000) / microsOf(s.duration, milliBpm);
  return (
    Math.min(s.from, s.to) >= low &&
    Math.max(s.from, s.to) <= compass[1] &&
    count >= SHORTEST &&
    rate >= SWEEP_RATE.slowest &&
    rate <= SWEEP_RATE.fastest
  );
}

/** Microseconds that a hand needs from one string to another; none inside its span. */
const travel = (from: number, to: number): number => {
  const way = Math.abs(to - from);
  return way <= 9 ? 0 : Math.floor((HAND_LIMITS.leap * way) / 14);
};

export type Placed = Stroke & { readonly onset: number };

/** A sweep for a stretch: strokes with their onsets, or none where there is no room or no time. */
export function place(scene: Scene, style: Style, brief: FigureBrief): Placed[] {
  const beat = beatTicks(brief.progression.metre);
  const suits = ({ duration }: Size): boolean =>
    style.length === undefined || (style.length === 'short' ? duration <= beat : duration >= 2 * beat);
  for (const size of sizes(scene.segment, brief, 14 + brief.random.below(20)).filter(suits)) {
    const strokes = style.strokes(scene, size, brief);
    if (
      strokes.length === 0 ||
      !strokes.every((s) => sweepable(s, brief.milliBpm, compassOf(brief.instrument)))
    )
      continue;
    const placed = time(scene, style, strokes, brief);
    if (placed.length > 0) return placed;
  }
  return [];
}

/** Onsets for strokes: from the start of the stretch, or towards its end with a breath for the hand to travel. */
function time(scene: Scene, style: Style, strokes: readonly Stroke[], brief: FigureBrief): Placed[] {
  const { segment, voicing, goal } = scene;
  const beat = beatTicks(brief.progression.metre);
  const length = Math.max(...strokes.map((s) => s.delay + s.duration));
  const own = { L: bottom(voicing), R: top(voicing) };
  const next = { L: bottom(goal), R: top(goal) };
  const enough = (free: number, from: number, to: number): boolean =>
    microsOf(free, brief.milliBpm) >= travel(from, to);
  const at = (lead: number): Placed[] =>
    strokes.map((s) => ({ ...s, onset: segment.onset + lead + s.delay }));
  if (style.departs) return segment.duration > length ? at(0) : [];
  const short = isCompound(brief.progression.metre) ? [beat / 3, (2 * beat) / 3] : [beat / 2];
  for (const breath of [0, ...short, beat, 2 * beat]) {
    const lead = segment.duration - length - breath;
    if (!Number.isInteger(breath) || lead <= 0) continue;
    const fits = strokes.every((s, i) => {
      const goesOn = strokes.slice(i + 1).some((o) => o.hand === s.hand);
      const after = breath + length - s.delay - s.duration;
      return (
        (goesOn || enough(after, s.to, next[s.hand])) && (s.delay > 0 || enough(lead, own[s.hand], s.from))
      );
    });
    if (fits) return at(lead);
  }
  return [];
}
