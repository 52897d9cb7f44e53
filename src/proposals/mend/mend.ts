/** Mends a part: place by place in the order of time, then as a whole, until no rule finds an error. */

import type { Problem } from '../../base/problem';
import { CONCERT_HARP, type Instrument } from '../../harp/instrument';
import type { Passage } from '../../music/passage';
import { assignHands } from '../../playability/hands';
import { type PartToCheck, checkPart } from '../check';
import { editPart, plainMarks, settled } from './edits';
import { type Stretch, cut, handFaults, hasPlan, idsOf, markedFaults, onsetOf, pedalFaults } from './faults';
import { type Frame, type Task, type Way, force, search } from './search';
import { tryInSteps } from './trials';
import { twinsOf } from './twins';
import type { Edit, MendAnswer, MendOptions, Mending, Repair } from './types';
import { noteWeights } from './weights';

/** Bars that are mended together, and bars on either side that are judged with them. */
const CORE_BARS = 4;
const MARGIN_BARS = 2;
/** Rounds over the whole part once its places are mended. */
const ROUNDS = 12;
/** Repairs that are looked at for an error that went with one of them. */
const MOST_CAUSES = 8;
/** Offers at one place, the one that is applied included. */
const MOST_OFFERS = 8;

const severe = (problems: readonly Problem[]): Problem[] => problems.filter((p) => p.severity === 'error');

/** The errors at the first place: those that share its onset or its notes. */
function cluster(problems: readonly Problem[]): Problem[] {
  const first = [...problems].sort((a, b) => onsetOf(a) - onsetOf(b))[0];
  if (first === undefined) return [];
  const ids = new Set(idsOf(first));
  return problems.filter((p) => onsetOf(p) === onsetOf(first) || idsOf(p).some((id) => ids.has(id)));
}

class Mender {
  private readonly frame: Frame;
  readonly mendings: Mending[] = [];
  private part: PartToCheck;
  private edits: readonly Edit[] = [];

  constructor(
    /** As it was brought, with a hand for every pluck and its marks plain. */
    private readonly original: PartToCheck,
    private readonly instrument: Instrument,
    options: MendOptions,
  ) {
    const { passage } = original;
    this.part = original;
    this.frame = {
      instrument,
      handsGiven: options.handsGiven !== false,
      weights: noteWeights(passage),
      extend: twinsOf(passage, options.printedAs),
      marked: original.markings.settings.length > 0,
      tuning: checkPart(original, instrument).planned.tuning,
    };
  }

  get now(): PartToCheck {
    return this.part;
  }

  private faultsIn(passage: Passage, stretch: Stretch): Problem[] {
    const { tuning, marked } = this.frame;
    return marked
      ? markedFaults(this.part, passage, stretch, this.instrument, tuning)
      : handFaults(passage, this.instrument, tuning);
  }

  /** Mends one place; false where nothing could be done. */
  private mendPlace(task: Task): boolean {
    let ways = search(this.frame, task);
    if (ways.length === 0) {
      const last = force(this.frame, task);
      if (last === null) return false;
      ways = [last];
    }
    const onset = Math.min(...task.problems.map(onsetOf)) as Repair['onset'];
    const kinds = new Set<string>();
    const offered = ways.filter((way, i) => {
      const kind = way.steps.map((s) => s.kind).join(' ');
      const fresh = i === 0 || !kinds.has(kind);
      kinds.add(kind);
      return fresh;
    });
    const number = this.mendings.length + 1;
    const repairs = offered.slice(0, MOST_OFFERS).map((way, i): Repair => ({
      id: `m${number}${i === 0 ? '' : String.fromCharCode(97 + i)}`,
      onset,
      codes: [...new Set(task.problems.map((p) => p.code))],
      ids: [...new Set(task.problems.flatMap(idsOf))],
      steps: way.steps,
      loss: way.loss,
      needs: [],
    }));
    this.mendings.push({ onset, problems: task.problems, repairs });
    this.edits = [...this.edits, ...(ways[0] as Way).edits];
    this.part = editPart(this.original, settled(this.edits).edits);
    return true;
  }

  /** Bars in order, each stretch with its neighbours. */
  private stretches(): { readonly core: Stretch; readonly wide: Stretch }[] {
    const { bars } = this.original.passage;
    const start = (i: number): number => (i <= 0 ? 0 : (bars[i]?.start ?? Number.MAX_SAFE_INTEGER));
    const out = [];
    for (let i = 0; i < Math.max(1, bars.length); i += CORE_BARS) {
      out.push({
        core: { from: start(i), to: start(i + CORE_BARS) },
        wide: { from: start(i - MARGIN_BARS), to: start(i + CORE_BARS + MARGIN_BARS) },
      });
    }
    return out;
  }

  *mendStretches(): Generator<number, void> {
    const all = this.stretches();
    for (const [i, { core, wide }] of all.entries()) {
      yield i / all.length;
      const pedals = { from: wide.from, to: core.to };
      const given: Problem[] = [];
      // Every place takes at least one change; more than there are notes would be a circle.
      for (let turn = 0; turn < 200; turn++) {
        const here = cut(this.part.passage, wide);
        const faults = this.faultsIn(here, wide).filter(
          (p) => onsetOf(p) >= core.from && onsetOf(p) < core.to && !given.includes(p),
        );
        const planned = this.frame.marked || hasPlan(cut(here, pedals), this.instrument);
        const problems =
          faults.length > 0
            ? cluster(faults)
            : planned
              ? []
              : pedalFaults(cut(here, pedals), this.instrument);
        if (problems.length === 0) break;
        const near = this.place(problems, wide);
        const region = faults.length > 0 && !planned ? null : pedals;
        const narrow = { from: Math.max(near.from, pedals.from), to: Math.min(near.to, pedals.to) };
        const task = { part: this.part, problems, stretch: near, pedals: region && narrow };
        // What hangs together over more than the nearest bars is looked at in the whole stretch.
        if (!this.mendPlace(task) && !this.mendPlace({ ...task, stretch: wide, pedals: region })) break;
      }
    }
  }

  /** The bars of these problems with one on either side, within a stretch. */
  private place(problems: readonly Problem[], wide: Stretch): Stretch {
    const all = problems.map((p) => this.around(p, 1));
    return {
      from: Math.max(wide.from, Math.min(...all.map((s) => s.from))),
      to: Math.min(wide.to, Math.max(...all.map((s) => s.to))),
    };
  }

  /** The bars of a problem with `margin` bars on either side. */
  private around(problem: Problem, margin: number): Stretch {
    const { bars, plucks } = this.part.passage;
    const ids = new Set(idsOf(problem));
    const onsets = [onsetOf(problem), ...plucks.filter((p) => ids.has(p.id)).map((p) => p.onset)];
    const index = (at: number): number => bars.findLastIndex((b) => b.start <= at);
    const low = index(Math.min(...onsets)) - margin;
    const high = bars[index(Math.max(...onsets)) + margin + 1];
    return { from: low <= 0 ? 0 : (bars[low]?.start ?? 0), to: high?.start ?? Number.MAX_SAFE_INTEGER };
  }

  /**
   * Errors that went with the repair of another (one wrong mark makes many wrong notes) are told where they were
   * mended: with the nearest repair that by itself is rid of them, else with the nearest.
   */
  attribute(errors: readonly Problem[]): void {
    const known = this.mendings.map((m) => ({
      ids: new Set(m.problems.flatMap(idsOf)),
      onsets: new Set(m.problems.map(onsetOf)),
    }));
    for (const error of errors) {
      if (known.some((k) => k.onsets.has(onsetOf(error)) || idsOf(error).some((id) => k.ids.has(id))))
        continue;
      const near = this.mendings
        .map((m, i) => ({ i, away: Math.abs(m.onset - onsetOf(error)) }))
        .sort((a, b) => a.away - b.away)
        .slice(0, MOST_CAUSES);
      const cause = near.find(({ i }) => this.isRid(this.mendings[i] as Mending, error)) ?? near[0];
      if (cause === undefined) continue;
      const m = this.mendings[cause.i] as Mending;
      this.mendings[cause.i] = { ...m, problems: [...m.problems, error] };
    }
  }

  private isRid(mending: Mending, error: Problem): boolean {
    const alone = editPart(
      this.original,
      settled((mending.repairs[0] as Repair).steps.flatMap((s) => s.edits)).edits,
    );
    const stretch = this.around(error, MARGIN_BARS);
    const { tuning, marked } = this.frame;
    const here = cut(alone.passage, stretch);
    const left = marked
      ? markedFaults(alone, here, stretch, this.instrument, tuning)
      : handFaults(here, this.instrument, tuning);
    const ids = new Set(idsOf(error));
    return !left.some((p) => p.code === error.code && idsOf(p).some((id) => ids.has(id)));
  }

  /** Errors that only the whole part shows. True where none is left. */
  mendWhole(): boolean {
    for (let round = 0; round < ROUNDS; round++) {
      const problems = severe(checkPart(this.part, this.instrument).problems);
      if (problems.length === 0) return true;
      let done = false;
      for (const margin of [MARGIN_BARS, 4 * MARGIN_BARS, 1 << 20]) {
        for (const problem of problems) {
          const stretch = this.around(problem, margin);
          done = this.mendPlace({ part: this.part, problems: [problem], stretch, pedals: stretch }) || done;
          if (done) break;
        }
        if (done) break;
      }
      if (!done) return false;
    }
    return severe(checkPart(this.part, this.instrument).problems).length === 0;
  }
}

/** The part as repairs are found for it: a hand for every pluck, and marks without later diagrams. */
export function readyPart(part: PartToCheck, instrument: Instrument = CONCERT_HARP): PartToCheck {
  const handed: PartToCheck = { ...part, passage: assignHands(part.passage) };
  return { ...handed, markings: plainMarks(handed, instrument) };
}

/** The shares of the work after which the places, and then the whole, are mended; the rest goes into trials. */
const PLACES_SHARE = 0.5;
const WHOLE_SHARE = 0.6;

/**
 * A part made playable with the least change: for every error at least one repair, each tried on the whole part before
 * it is offered. Never fails: what is beyond repair is listed. Deterministic. Yields the share done, 0 to 1, so that
 * whoever drives it shows progress or stops.
 */
export function* mendInSteps(
  part: PartToCheck,
  instrument: Instrument = CONCERT_HARP,
  options: MendOptions = {},
): Generator<number, MendAnswer> {
  const ready = readyPart(part, instrument);
  const mender = new Mender(ready, instrument, options);
  const places = mender.mendStretches();
  for (let step = places.next(); step.done !== true; step = places.next()) yield step.value * PLACES_SHARE;
  yield PLACES_SHARE;
  mender.mendWhole();
  mender.attribute(severe(checkPart(ready, instrument).problems));
  const report = checkPart(mender.now, instrument);
  const remaining = severe(report.problems);
  if (options.offered === false) {
    const { mendings } = mender;
    const chosen = mendings.map((m) => (m.repairs[0] as Repair).id);
    const now = mendings.length === 0 ? part : mender.now;
    return { mendings, chosen, untried: 0, part: now, planned: report.planned, remaining };
  }
  const tried = tryInSteps(ready, mender.mendings, remaining, instrument);
  let step = tried.next();
  for (; step.done !== true; step = tried.next()) yield WHOLE_SHARE + step.value * (1 - WHOLE_SHARE);
  const { mendings, untried } = step.value;
  return {
    ...{ mendings, untried, remaining },
    chosen: mendings.map((m) => (m.repairs[0] as Repair).id),
    part: mendings.length === 0 ? part : mender.now,
    planned: report.planned,
  };
}

/** Mends a part in one go. */
export function mendPart(
  part: PartToCheck,
  instrument: Instrument = CONCERT_HARP,
  options: MendOptions = {},
): MendAnswer {
  const steps = mendInSteps(part, instrument, options);
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
  }
}

/** The edits of these repairs, one for each thing: where two change the same, the later in the part counts. */
export function repairEdits(mendings: readonly Mending[], ids: readonly string[]): readonly Edit[] {
  const wanted = new Set(ids);
  const repairs = mendings.flatMap((m) => m.repairs).filter((r) => wanted.has(r.id));
  return settled(repairs.flatMap((r) => r.steps.flatMap((s) => s.edits))).edits;
}

/**
 * The part with these repairs and no others, made anew from the original: leaving an id out undoes it. Unknown ids
 * do nothing.
 */
export function applyRepairs(
  part: PartToCheck,
  mendings: readonly Mending[],
  ids: readonly string[],
  instrument: Instrument = CONCERT_HARP,
): PartToCheck {
  const edits = repairEdits(mendings, ids);
  return edits.length === 0 ? part : editPart(readyPart(part, instrument), edits);
}
