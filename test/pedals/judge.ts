// Seeded questions for the outside judge, one price term at a time, and the verdict: the planner's optimum against that
// of a mixed-integer programme solved by HiGHS.
import loadHighs from 'highs';
import { type Random, seededRandom } from '../../src/base/random';
import { type Ticks, noteTicks } from '../../src/base/units';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { PEDALS, SETTING_COUNT, positionOf } from '../../src/harp/setting';
import { stringOf } from '../../src/harp/strings';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck, Slide, Tremble } from '../../src/music/passage';
import { harpSpellings, midiOf } from '../../src/music/pitch';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { POINTS, type Rates } from '../../src/pedals/rates';
import type { PlanAnswer, PlanOptions } from '../../src/pedals/types';
import { validatePlan } from '../../src/pedals/validate';
import { type MilpRates, milpText } from './milp';
import { randomPassage } from './random-passage';

const NOTHING = Object.fromEntries(Object.keys(POINTS).map((k) => [k, 0])) as unknown as Rates;
const only = (...terms: (keyof Rates)[]): Rates => ({
  ...NOTHING,
  ...Object.fromEntries(['move' as const, ...terms].map((t) => [t, POINTS[t]])),
});

/** Each price term beside the moves. */
export const TERMS_JUDGED = {
  moves: only(),
  'second positions': only('second'),
  gestures: only('gesture'),
  hasty: only('hasty'),
  reach: only('reach'),
  ring: only('ring'),
  ahead: only('late', 'ahead'),
  'off the beat': only('offBeat'),
  busy: only('busy'),
  respelt: only('respelt'),
  sharps: only('sharps'),
  reading: only('third', 'order', 'mixed'),
  flips: only('flip'),
  shape: only('shape'),
  emergencies: only('emergency'),
  settling: only('second', 'gesture'),
  slides: only('second', 'gesture', 'late', 'ahead', 'offBeat'),
  'all at once': POINTS,
} as const;
export type JudgedTerm = keyof typeof TERMS_JUDGED;
/** Terms that may cost more at a stop than just before it: the tick after each grid instant is asked as well. */
const FINE: readonly JudgedTerm[] = ['ring', 'busy', 'all at once'];

/** A tempo and a grid step in ticks of which every time of a foot and of the page is a multiple. */
interface Pace {
  readonly milliBpm: number;
  readonly step: number;
  readonly times: PlanOptions['times'];
}
const times = (neighbour: number, reach: number, secondPosition: number, settle: number): Pace['times'] => ({
  ...{ neighbour: 1000 * neighbour, reach: 1000 * reach },
  ...{ secondPosition: 1000 * secondPosition, settle: 1000 * settle },
});
const PACES: { readonly easy: readonly Pace[]; readonly tight: readonly Pace[] } = {
  easy: [
    { milliBpm: 60_000, step: 840, times: times(500, 750, 250, 250) },
    { milliBpm: 60_000, step: 420, times: times(375, 500, 125, 125) },
  ],
  tight: [
    { milliBpm: 120_000, step: 840, times: times(375, 500, 125, 125) },
    { milliBpm: 240_000, step: 840, times: times(375, 500, 125, 125) },
  ],
};
/** Steps of an eighth of a second: the decays of the strings up to B5. */
const RINGING: typeof PACES = {
  easy: [{ milliBpm: 60_000, step: 420, times: times(375, 500, 125, 125) }],
  tight: [{ milliBpm: 120_000, step: 840, times: times(375, 500, 125, 125) }],
};
/** Steps of 0.06 s: four notes of a roll are three of them. */
const ROLLING: typeof PACES = {
  easy: [{ milliBpm: 125_000, step: 420, times: times(240, 480, 120, 120) }],
  tight: [{ milliBpm: 125_000, step: 420, times: times(240, 360, 180, 120) }],
};
const paceOf = (random: Random, term: JudgedTerm, tight: boolean): Pace => {
  const paces = term === 'ring' || term === 'all at once' ? RINGING : term === 'busy' ? ROLLING : PACES;
  return random.pick(tight ? paces.tight : paces.easy);
};

export interface Question {
  readonly term: JudgedTerm;
  readonly passage: Passage;
  readonly options: PlanOptions;
  readonly pace: Pace;
}

/** Both strings of one pitch at once, and a chord turned into a tremble. */
function varied(random: Random, passage: Passage): Passage {
  let out = passage;
  const first = random.pick(out.plucks.length === 0 ? [null] : out.plucks);
  if (first !== null && random.chance(1, 5)) {
    const twin = harpSpellings(midiOf(first.pitch)).find((p) => p.letter !== first.pitch.letter);
    if (twin !== undefined) {
      const plucks = [...out.plucks, { ...first, id: 'twin', pitch: twin, fixed: false }];
      out = { ...out, plucks: plucks.sort((a, b) => a.onset - b.onset) };
    }
  }
  if (first !== null && random.chance(1, 5)) {
    const notes = out.plucks.filter((p) => p.onset === first.onset);
    const tremble: Tremble = {
      ...first,
      id: 't',
      notes: notes.map((n) => ({ ...n, hand: n.hand ?? ('L' as const) })),
    };
    out = { ...out, plucks: out.plucks.filter((p) => p.onset !== first.onset), trembles: [tremble] };
  }
  return out;
}

/** A slide of some pluck a few sixteenths later, where its string has another inflection; else none. */
function slideIn(random: Random, passage: Passage): readonly Slide[] {
  const last = passage.bars.at(-1);
  const open = passage.plucks.filter((p) => !CONCERT_HARP.discless.includes(stringOf(p.pitch)));
  if (open.length === 0 || last === undefined) return [];
  const pluck = random.pick(open);
  const onset = pluck.onset + noteTicks(1 + random.below(4), 16);
  if (onset >= last.start + last.length) return [];
  const alter = random.pick(([-1, 0, 1] as const).filter((a) => a !== pluck.pitch.alter));
  return [{ id: 'slide', pluck: pluck.id, onset: onset as Ticks, to: { ...pluck.pitch, alter } }];
}

/** Hands, damping, rolls and leaps where the term asks for them. */
function dressed(random: Random, term: JudgedTerm, passage: Passage): Passage {
  const all = term === 'all at once';
  let plucks: readonly Pluck[] = passage.plucks;
  if (term === 'busy' || all) {
    // Every other chord may lie two octaves higher: hands leap.
    const high = new Set(plucks.filter(() => random.chance(1, 3)).map((p) => p.onset));
    plucks = plucks.map((p) => {
      const octave = Math.min(5, Math.max(2, p.pitch.octave - 1)) - (all ? 1 : 0);
      return { ...p, pitch: { ...p.pitch, octave: high.has(p.onset) && !all ? octave + 2 : octave } };
    });
    const seen = new Set<string>();
    plucks = plucks.filter((p) => {
      const key = `${p.onset}/${midiOf(p.pitch)}`;
      return !seen.has(key) && seen.add(key);
    });
  }
  if (term === 'shape' || all) plucks = plucks.map((p) => ({ ...p, hand: random.pick(['R', 'L'] as const) }));
  if (term === 'ring' || all)
    plucks = plucks.map((p) => ({ ...p, technique: random.chance(1, 5) ? 'etouffe' : 'ordinary' }));
  const onsets = [...new Set(plucks.map((p) => p.onset))];
  const rolls = onsets.flatMap((onset) => {
    const chord = plucks.filter((p) => p.onset === onset);
    if (term !== 'busy' || chord.length !== 4 || !random.chance(2, 3)) return [];
    return [{ id: `r${onset}`, plucks: chord.map((p) => p.id), direction: 'up' as const }];
  });
  const end = passage.bars.at(-1);
  const damps =
    (term === 'ring' || all) && end !== undefined && random.chance(1, 2)
      ? [
          {
            onset: noteTicks(1 + random.below((end.start + end.length) / 840 - 1), 16),
            ...(random.chance(1, 2) ? { below: 18 } : {}),
          },
        ]
      : [];
  return { ...passage, plucks, rolls, damps };
}

export function questionOf(random: Random, term: JudgedTerm, tight: boolean, onsets: number): Question {
  const pace = paceOf(random, term, tight);
  const base = randomPassage(random, {
    onsets,
    most: term === 'busy' ? 4 : tight ? 4 : 3,
    milliBpm: pace.milliBpm,
    gaps: onsets > 12 ? [1, 1, 1, 2, 2, 3] : [1, 1, 2, 2, 3, 4],
    sweeps: term !== 'busy' && random.chance(1, 4),
    keys: random.chance(1, 5) ? [26, 14] : [44, 38],
  });
  const metre = random.pick([
    { beats: 4, unit: 4 },
    { beats: 3, unit: 4 },
    { beats: 6, unit: 8 },
  ]);
  const last = base.bars.at(-1) as Passage['bars'][number];
  const length = (metre.beats * 4 * 3360) / metre.unit;
  const used = Math.max(
    ...[...base.plucks, ...base.sweeps].map((x) => x.onset + x.duration),
    ...base.sweeps.map((s) => s.onset + s.duration),
    Math.min(last.start + last.length, 3360),
  );
  const timed = { ...base, bars: makeBars(metre, Math.ceil(used / length)) };
  const music = varied(random, dressed(random, term, timed));
  const slides =
    term === 'slides' || (term === 'all at once' && random.chance(1, 4)) ? slideIn(random, music) : [];
  const passage: Passage = slides.length === 0 ? music : { ...music, slides };
  const emergencies = term === 'emergencies';
  const options: PlanOptions = {
    ...defaultPlanOptions,
    ...{ times: pace.times, rates: TERMS_JUDGED[term] },
    ...(emergencies ? { emergencies } : {}),
    ...(term === 'settling' ? { mustSettle: true } : {}),
    start: random.chance(1, 3) ? random.below(SETTING_COUNT) : null,
    end: random.chance(1, 5) ? random.below(SETTING_COUNT) : null,
    keepSpelling: random.chance(1, 8),
  };
  const letter = random.pick(PEDALS);
  const stands = positionOf(options.start ?? options.end ?? random.below(SETTING_COUNT), letter);
  const free = options.end === null || positionOf(options.end, letter) === stands;
  const locked = free && random.chance(1, 6) ? { locked: { [letter]: stands } } : {};
  return { term, passage, options: { ...options, ...locked }, pace };
}

/** Tight: at a twentieth of the tempo fewer moves do, or it can be played at all. Only a choice of what to ask. */
export function bites({ passage, options }: Question, refused: boolean): boolean {
  const tempo = passage.tempo.map((t) => ({ ...t, milliBpm: Math.floor(t.milliBpm / 20) }));
  const [fast, slow] = [passage, { ...passage, tempo }].map((p) =>
    planPassage(p, { ...options, rates: TERMS_JUDGED.moves, aim: 'fewest' }),
  ) as [PlanAnswer, PlanAnswer];
  if (slow.status === 'unplayable') return false;
  if (fast.status === 'unplayable' || refused) return refused && fast.status === 'unplayable';
  return fast.price.moves !== slow.price.moves;
}

/** So dear that moves alone decide. */
const DECIDES = 20_000;

export interface Verdict {
  /** What differs; null where both have the same optimum, or both none. */
  readonly fault: string | null;
  readonly refused: boolean;
  readonly moves: number;
  /** Milliseconds of the programme and of the planner. */
  readonly highs: number;
  readonly ours: number;
}
export interface Judge {
  (question: Question, aim: PlanOptions['aim']): Verdict;
}

const priceIn = (answer: PlanAnswer, aim: PlanOptions['aim']): number | null =>
  answer.status === 'unplayable'
    ? null
    : answer.price.points + (aim === 'fewest' ? answer.price.moves * (DECIDES - POINTS.move) : 0);

/** HiGHS as a judge; it throws where HiGHS itself gives up. */
export async function judgeByHighs(): Promise<Judge> {
  const highs = await loadHighs();
  const solved = (text: string): number | null => {
    const result = highs.solve(text, { output_flag: false, mip_rel_gap: 0, mip_abs_gap: 0.99 });
    if (result.Status === 'Infeasible') return null;
    if (result.Status !== 'Optimal') throw new Error(`the judge ended with ${result.Status}`);
    return Math.round(result.ObjectiveValue);
  };
  return ({ term, passage, options, pace }, aim) => {
    const { mustSettle } = options;
    const rates: MilpRates = { ...TERMS_JUDGED[term], ...(aim === 'fewest' ? { move: DECIDES } : {}) };
    const { start, end, keepSpelling, locked, emergencies } = options;
    const began = performance.now();
    const answer = planPassage(passage, { ...options, aim });
    const planned = performance.now();
    const price = priceIn(answer, aim);
    const least = solved(
      milpText({
        ...{ passage, start, end, keepSpelling, rates, times: pace.times, step: pace.step },
        ...(locked === undefined ? {} : { locked }),
        ...(emergencies === true ? { emergencies } : {}),
        ...(mustSettle === true ? { mustSettle } : {}),
        ...{ fine: FINE.includes(term), discless: options.instrument.discless },
        ...(price === null ? {} : { atMost: price }),
      }),
    );
    const judged = performance.now();
    const clocks = { ours: planned - began, highs: judged - planned };
    if (answer.status === 'unplayable') {
      const fault = least === null ? null : `refused, but there is a plan for ${least}`;
      return { fault, refused: true, moves: 0, ...clocks };
    }
    const { moves, points } = answer.price;
    const faults = validatePlan(passage, answer.planned, options).faults.map((f) => f.code);
    const fault =
      least !== price
        ? `found ${price}, least ${least}`
        : answer.status !== 'optimal' || answer.leastPoints !== points
          ? `${answer.status}: found ${points}, proven ${answer.leastPoints}`
          : faults.length > 0
            ? faults.join(', ')
            : null;
    return { fault, refused: false, moves, ...clocks };
  };
}

/** Terms whose programme grows fast: asked of up to so many onsets. */
const HEAVY: Readonly<Partial<Record<JudgedTerm, number>>> = {
  ...{ hasty: 12, reach: 12, ring: 16, busy: 16, emergencies: 12, 'all at once': 12 },
};

/** The questions of a seed: all terms in turn, every other one tight, a third of them of up to 24 onsets. */
export function* questions(seed: string, count: number): Generator<Question & { readonly number: number }> {
  const random = seededRandom(seed);
  const terms = Object.keys(TERMS_JUDGED) as JudgedTerm[];
  for (let number = 0; number < count; number++) {
    const term = terms[(number >> 1) % terms.length] as JudgedTerm;
    const tight = number % 2 === 1;
    const longest = HEAVY[term] ?? 24;
    let asked: Question;
    do {
      const onsets = 3 + random.below(number % 3 === 0 ? longest - 2 : 6);
      asked = questionOf(random, term, tight, onsets);
    } while (asked.passage.plucks.length === 0 || (tight && !bites(asked, number % 20 === 19)));
    yield { ...asked, number };
  }
}

/** A short question for each term, every other one at a tight pace: quickly asked. */
export function* samples(seed: string): Generator<Question & { readonly number: number }> {
  const random = seededRandom(seed);
  for (const [number, term] of (Object.keys(TERMS_JUDGED) as JudgedTerm[]).entries()) {
    let asked: Question;
    do asked = questionOf(random, term, number % 2 === 1, 3 + random.below(2));
    while (asked.passage.plucks.length === 0);
    yield { ...asked, number };
  }
}
