/** Cheaper neighbours: small changes of the music that save pedal moves, each planned again before it is offered. */

import { type Ticks, ticks } from '../base/units';
import { type PlannedPassage, settingAt } from '../harp/planned';
import { barAt } from '../music/metre';
import type { Passage } from '../music/passage';
import { midiOf } from '../music/pitch';
import { inHarpKey } from '../pedals/options';
import { planPassage } from '../pedals/plan';
import { TERMS, type TermName } from '../pedals/rates';
import { spendingOf } from '../pedals/spending';
import type { PedalPrice, PlanAnswer, PlanOptions } from '../pedals/types';
import { judge } from '../playability/judge';
import { type Change, withChange } from './changes';
import { type Harmony, harmoniesOf } from './harmony-here';
import { mendings } from './mendings';
import { PER_PLACE, type Tried, distinct, waysOf } from './ways';
import { priceWays } from './ways-price';

export interface Saving {
  /** Pedal moves. */
  readonly moves: number;
  /** Moves in a hurry. */
  readonly hasty: number;
  /** Points of the practical aim, by every term of MODEL.md. */
  readonly points: number;
  /** The term of which most points are saved; null where none are. */
  readonly most: TermName | null;
}

export interface Neighbour {
  /** The first note changed. */
  readonly onset: Ticks;
  readonly change: Change;
  /** The chord there and which of its degrees the first note changed is; null where it is none or none is known. */
  readonly tone: { readonly chord: string; readonly degree: number } | null;
  /** All 0 where the change makes an unplayable passage playable. */
  readonly saves: Saving;
  /** True where the passage has no plan without the change. */
  readonly mends: boolean;
  /** The price of the changed passage, and its plan: spelt as it is played. */
  readonly price: PedalPrice;
  readonly planned: PlannedPassage;
  /** The changed passage, as asked. */
  readonly passage: Passage;
}

export interface NeighbourLimits {
  /** Neighbours answered beyond one for each place; 12 in all unless given, or as many as there are places. */
  readonly most?: number;
  /** Onsets planned in all while looking; 30,000 unless given. */
  readonly work?: number;
}

export interface Nearby {
  readonly found: readonly Neighbour[];
  /** False where the limit on work was spent before every place was looked at. */
  readonly complete: boolean;
}

const MOST = 12;
const WORK = 30_000;
/** Bars on either side of a change that are planned first, to see whether it is worth planning the whole. */
const WINDOW_BARS = 2;
/**
 * Where no move is saved, a change must save so many points to be offered: more than one note's respelling. A loud
 * string that its pedal would bend is heard, so that less is enough.
 */
const LEAST_POINTS = 8;
const LEAST_RING = 3;

type Planned = PlanAnswer & { status: 'optimal' | 'planned' };

/** The stretch round a change, with the settings in which the plan enters and leaves it. */
function stretch(
  { planned }: Planned,
  tried: Tried,
  options: PlanOptions,
): { readonly from: number; readonly to: number } & Pick<PlanOptions, 'start' | 'end'> {
  const { bars } = planned.passage;
  const index = barAt(bars, tried.onset).index;
  const from = bars[Math.max(0, index - WINDOW_BARS)]?.start ?? 0;
  const after = bars[index + WINDOW_BARS + 2]?.start;
  return {
    from,
    to: after ?? Number.MAX_SAFE_INTEGER,
    start: from === 0 ? options.start : settingAt(planned, ticks(from - 1)),
    end: after === undefined ? options.end : settingAt(planned, ticks(after - 1)),
  };
}

const onsetsOf = (p: Passage): number => new Set(p.plucks.map((x) => x.onset)).size + p.sweeps.length + 1;

/** Which degree of its chord the first note of a change is. */
function toneOf(passage: Passage, change: Change, harmony: Harmony | null): Neighbour['tone'] {
  const note = passage.plucks.find((p) => p.id === change.ids[0]);
  const tone = harmony?.tones.find((t) => note !== undefined && t.pc === midiOf(note.pitch) % 12);
  return harmony === null || tone === undefined ? null : { chord: harmony.name, degree: tone.degree };
}

/** What a chord loses by a change, the least first: a tone of no chord, tensions and fifth, root, seventh, third. */
function loss({ change, tone }: Neighbour): number {
  if (change.kind !== 'leave-out' && change.kind !== 'replace' && change.kind !== 'tension') return 0;
  const degree = tone?.degree ?? 13;
  return degree === 3 ? 4 : degree === 7 ? 3 : degree === 1 ? 2 : degree === 5 ? 1 : 0;
}

/** Of which term a plan saves most against another, the first of equals. */
function mostSaved(before: PedalPrice, after: PedalPrice): TermName | null {
  let [best, most]: [TermName | null, number] = [null, 0];
  for (const term of TERMS) {
    const saved = before.terms[term] - after.terms[term];
    if (saved > most) [best, most] = [term, saved];
  }
  return best;
}

const errorsOf = (planned: PlannedPassage): number =>
  judge(planned).filter((p) => p.severity === 'error').length;

/**
 * Small changes that save pedal moves (or haste, or at least so many points of any term that a chord reads or a string
 * sounds better; or make an unplayable passage playable), the most saving
 * first, of equal savings the one from which the chord loses least. Chords are those of the passage's symbols, else
 * recognised. A tone is left out only where its onset still sounds; it is replaced by another tone of its chord, or
 * a tension, on a string that is set; a chord comes a beat later only where nothing is struck before; an old
 * harmony is held over for a beat, or in place of the new one. Whatever is offered is planned whole under `options`
 * and has no more errors of the hand than before. `answer` is the plan of `passage` under `options`. The same
 * question always has the same answer: work is counted, not timed.
 */
export function nearby(
  passage: Passage,
  options: PlanOptions,
  answer: PlanAnswer,
  limits: NeighbourLimits = {},
): Nearby {
  if (passage.bars.length === 0) return { found: [], complete: true };
  const asked = options.fifths === undefined ? passage : inHarpKey(passage, options.fifths);
  const harmonies = harmoniesOf(asked);
  const most = limits.most ?? MOST;
  let work = limits.work ?? WORK;
  const make = (tried: Omit<Tried, 'place'>, again: Planned, changed: Passage): Neighbour => ({
    onset: tried.onset,
    change: tried.change,
    tone: toneOf(asked, tried.change, tried.harmony),
    saves:
      answer.status === 'unplayable'
        ? { moves: 0, hasty: 0, points: 0, most: null }
        : {
            moves: answer.price.moves - again.price.moves,
            hasty: answer.price.hasty - again.price.hasty,
            points: answer.price.points - again.price.points,
            most: mostSaved(answer.price, again.price),
          },
    mends: answer.status === 'unplayable',
    price: again.price,
    planned: again.planned,
    passage: changed,
  });
  if (answer.status === 'unplayable') {
    const found = mendings(asked, options, answer, { work, most, onsets: onsetsOf(asked), harmonies });
    return { found: found.map((m) => make(m.tried, m.again, m.passage)), complete: true };
  }
  let complete = true;
  const whole = onsetsOf(asked);
  const promising: { readonly tried: Tried; readonly hope: number; readonly points: number }[] = [];
  const spending = spendingOf(passage, answer.planned, options);
  for (const tried of distinct([
    ...waysOf(answer.planned, harmonies, options),
    ...priceWays(asked, answer.planned, harmonies, options, spending),
  ])) {
    const { from, to, start, end } = stretch(answer, tried, options);
    const within = <X extends { readonly onset: Ticks }>(x: X): boolean => x.onset >= from && x.onset < to;
    const all = withChange(asked, tried.change);
    const part: Passage = {
      ...all,
      plucks: all.plucks.filter(within),
      sweeps: all.sweeps.filter(within),
      trembles: all.trembles.filter(within),
      ...(all.slides === undefined ? {} : { slides: all.slides.filter(within) }),
    };
    work -= onsetsOf(part);
    if (work < 0) {
      complete = false;
      break;
    }
    const spent = answer.planned.moves.filter((m) => m.onset >= from && m.onset < to).length;
    const local = planPassage(part, { ...options, start, end });
    const hope = local.status === 'unplayable' ? 0 : spent - local.price.moves;
    const paid = spending.reduce((sum, s) => (s.onset >= from && s.onset < to ? sum + s.points : sum), 0);
    const points = local.status === 'unplayable' ? 0 : paid - local.price.points;
    const eases = tried.change.kind === 'delay' || tried.change.kind === 'swap';
    if (hope > 0 || (hope === 0 && points >= LEAST_RING) || (eases && answer.price.hasty > 0))
      promising.push({ tried, hope, points });
  }
  promising.sort((a, b) => b.hope - a.hope || b.points - a.points || a.tried.onset - b.tried.onset);
  const errors = promising.length === 0 ? 0 : errorsOf(answer.planned);
  const perPlace = new Map<number, number>();
  const perKind = new Map<string, number>();
  const out: Neighbour[] = [];
  // One for each place first; then the most saving, of each kind at most two for a place, four of all kinds.
  const looked = new Set<Tried>();
  for (const { tried, only } of [
    ...promising.map((p) => ({ ...p, only: 1 })),
    ...promising.map((p) => ({ ...p, only: 2 * PER_PLACE })),
  ]) {
    const known = perPlace.get(tried.place) ?? 0;
    const kind = `${tried.place} ${tried.change.kind}`;
    const alike = perKind.get(kind) ?? 0;
    if (known >= only || alike >= PER_PLACE || looked.has(tried)) continue;
    if (only > 1 && out.length >= most) break;
    looked.add(tried);
    work -= whole;
    if (work < 0 && out.length > 0) {
      complete &&= only > 1;
      break;
    }
    const changed = withChange(asked, tried.change);
    const again = planPassage(changed, options);
    if (again.status === 'unplayable') continue;
    const offer = make(tried, again, changed);
    const { moves, hasty, points, most: term } = offer.saves;
    const enough = points >= (term === 'ring' ? LEAST_RING : LEAST_POINTS);
    if (moves < 0 || (moves === 0 && hasty <= 0 && !enough)) continue;
    if (errorsOf(again.planned) > errors) continue;
    perPlace.set(tried.place, known + 1);
    perKind.set(kind, alike + 1);
    out.push(offer);
  }
  out.sort(
    (a, b) =>
      b.saves.moves - a.saves.moves ||
      b.saves.hasty - a.saves.hasty ||
      loss(a) - loss(b) ||
      b.saves.points - a.saves.points ||
      a.onset - b.onset,
  );
  return { found: out, complete };
}

/** What `nearby` finds. */
export const neighbours = (...asked: Parameters<typeof nearby>): readonly Neighbour[] =>
  nearby(...asked).found;

/** The neighbours of a passage that is planned already, such as a proposal: planned anew under the same options. */
export function neighboursOf(
  planned: PlannedPassage,
  options: PlanOptions,
  limits: NeighbourLimits = {},
): Nearby {
  return nearby(planned.passage, options, planPassage(planned.passage, options), limits);
}
