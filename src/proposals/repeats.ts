/** Lets each pass of a repeat be played alike, so that it can be printed once: spelling, fingers and pedals. */

import { type Ticks, ticks } from '../base/units';
import { finger } from '../figures/fingering';
import type { Move, PlannedPassage } from '../harp/planned';
import { type Setting, withPosition } from '../harp/setting';
import { contentsOf } from '../interchange/fold/content';
import { sections } from '../interchange/fold-repeats';
import type { Bar } from '../music/metre';
import type { Passage, Pluck, WrittenBar } from '../music/passage';
import { midiOf } from '../music/pitch';
import { defaultPlanOptions, planPassage } from '../pedals/plan';
import { judge } from '../playability/judge';

/** Plucks by played bar in one order for all passes: by onset, sounding pitch, and hand. */
function plucksByBar(planned: PlannedPassage): Pluck[][] {
  return contentsOf(planned).map(({ plucks }) =>
    [...plucks].sort(
      (a, b) =>
        a.onset - b.onset ||
        midiOf(a.pitch) - midiOf(b.pitch) ||
        (a.hand ?? '').localeCompare(b.hand ?? '') ||
        a.duration - b.duration,
    ),
  );
}

/** What is heard of a bar: the same for two passes that differ in spelling and fingers alone. */
const heard = (bar: Bar, plucks: readonly Pluck[]): string =>
  JSON.stringify([
    bar.length,
    plucks.map((p) => [p.onset - bar.start, midiOf(p.pitch), p.hand, p.technique, p.ring ?? false]),
  ]);

/** The first pass of a repeat, cut where an ending begins; null where nothing repeats or the passes differ. */
function firstPass(
  section: readonly Bar[],
  plucks: readonly (readonly Pluck[])[],
  passage: Passage,
  form: readonly WrittenBar[],
): Bar[][] | null {
  const first = new Map<number, Bar>();
  for (const bar of section) {
    const known = first.get(bar.written as number);
    if (known === undefined) first.set(bar.written as number, bar);
    else if (heard(known, plucks[known.index] ?? []) !== heard(bar, plucks[bar.index] ?? [])) return null;
  }
  if (first.size === section.length) return null;
  const from = section[0]?.start ?? 0;
  const last = section.at(-1) as Bar;
  const inside = ({ onset }: { readonly onset: Ticks }): boolean =>
    onset >= from && onset < last.start + last.length;
  // What a sweep or a tremble sounds is bound to the pedals of its own pass.
  if (passage.sweeps.some(inside) || passage.trembles.some(inside)) return null;
  const pieces: Bar[][] = [];
  let ending: string | null = null;
  for (const bar of first.values()) {
    const own: string = form[bar.written as number]?.ending?.join() ?? '';
    if (own === ending) pieces.at(-1)?.push(bar);
    else pieces.push([bar]);
    ending = own;
  }
  return pieces;
}

/** Some bars of a passage that follow one another, from tick 0. */
function excerpt(passage: Passage, bars: readonly Bar[]): Passage {
  const from = bars[0]?.start ?? ticks(0);
  const end = bars.reduce((most, bar) => Math.max(most, bar.start + bar.length), 0);
  const shifted = <T extends { readonly onset: Ticks }>(events: readonly T[]): T[] =>
    events
      .filter(({ onset }) => onset >= from && onset < end)
      .map((event) => ({ ...event, onset: ticks(event.onset - from) }));
  const before = passage.tempo.filter((t) => t.onset <= from).at(-1);
  const tempo = shifted(passage.tempo).filter((t) => t.onset > 0);
  const plucks = shifted(passage.plucks);
  const inside = new Set(plucks.map((p) => p.id));
  return {
    title: passage.title,
    bars: bars.map((bar, index) => ({ ...bar, index, start: ticks(bar.start - from) })),
    tempo: before === undefined ? tempo : [{ ...before, onset: ticks(0) }, ...tempo],
    fifths: (passage.keys ?? []).filter((k) => k.onset <= from).at(-1)?.fifths ?? passage.fifths,
    plucks,
    rolls: passage.rolls.filter((roll) => roll.plucks.every((id) => inside.has(id))),
    sweeps: shifted(passage.sweeps),
    trembles: shifted(passage.trembles),
    chords: [],
    damps: shifted(passage.damps),
  };
}

/** Moves at the very end of a piece drawn forward: halfway to the last use of their string or of their foot. */
function drawnForward({ passage, moves }: PlannedPassage): Move[] {
  const end = passage.bars.reduce((sum, bar) => sum + bar.length, 0);
  const feet: Partial<Record<Move['foot'], number>> = {};
  return moves.map((move) => {
    let { onset } = move;
    if (onset >= end) {
      const uses = passage.plucks.filter((p) => p.pitch.letter === move.letter).map((p) => p.onset + 1);
      const from = Math.max(feet[move.foot] ?? 0, ...uses);
      onset = ticks(from + Math.floor((end - from) / 2));
    }
    feet[move.foot] = onset;
    return { ...move, onset };
  });
}

const settingAfter = (start: Setting, moves: readonly Move[]): Setting =>
  moves.reduce((now, move) => withPosition(now, move.letter, move.to), start);

/** Where the setting of a repeat may be taken from in the given plan: where it is entered again, or at first, or left. */
const TAKEN = ['again', 'first', 'ending'] as const;

interface Section {
  readonly bars: readonly Bar[];
  /** The first pass cut at its endings, or null where the section is played as it stands. */
  readonly pieces: readonly (readonly Bar[])[] | null;
}

/** The setting in which a repeat begins every time, as the given plan has it at one of its bar lines. */
function homeOf(
  { bars, pieces }: Section,
  taken: (typeof TAKEN)[number],
  settings: readonly Setting[],
): Setting {
  const first = bars[0] as Bar;
  const again = bars.find((bar) => bar.index > first.index && bar.written === first.written);
  const at = taken === 'again' ? again : taken === 'ending' ? pieces?.at(-1)?.[0] : first;
  return settings[(at ?? first).index] as Setting;
}

/** One try: every repeat begins each time in its setting; null where a piece cannot be planned so. */
function planned(
  given: PlannedPassage,
  parts: readonly Section[],
  homes: readonly (Setting | null)[],
): PlannedPassage | null {
  const { passage, instrument } = given;
  const plucks = plucksByBar(given);
  const anew = new Map<string, Pluck>();
  const moves: Move[] = [];
  const start = homes[0] ?? given.start;
  let setting = start;
  for (const [s, { bars: section, pieces }] of parts.entries()) {
    const home = homes[s] ?? null;
    const next = homes[s + 1] ?? null;
    const byBar = new Map<number, Move[]>();
    for (const [i, bars] of (pieces ?? [section]).entries()) {
      const last = i === (pieces?.length ?? 1) - 1;
      // Without endings the only piece is gone back from; what follows finds that setting too.
      const end = home !== null && (!last || pieces?.length === 1) ? home : next;
      const answer = planPassage(excerpt(passage, bars), {
        ...defaultPlanOptions,
        instrument,
        start: setting,
        end,
      });
      if (answer.status === 'unplayable') return null;
      const from = bars[0]?.start ?? 0;
      const fingered = finger(answer.planned);
      for (const pluck of fingered.passage.plucks) {
        anew.set(pluck.id, { ...pluck, onset: ticks(pluck.onset + from) });
      }
      setting = settingAfter(setting, fingered.moves);
      for (const move of drawnForward(fingered)) {
        const onset = ticks(move.onset + from);
        const own = bars.findLast((bar) => bar.start <= onset) ?? (bars[0] as Bar);
        byBar.set(own.index, [...(byBar.get(own.index) ?? []), { ...move, onset }]);
      }
    }
    for (const bar of section) {
      const first = section.find((other) => other.written === bar.written) as Bar;
      const shift = bar.start - first.start;
      for (const move of byBar.get(first.index) ?? []) {
        moves.push({ ...move, onset: ticks(move.onset + shift) });
      }
      plucks[bar.index]?.forEach((pluck, i) => {
        const model = anew.get(plucks[first.index]?.[i]?.id ?? '');
        if (model !== undefined) anew.set(pluck.id, { ...pluck, pitch: model.pitch, finger: model.finger });
      });
    }
  }
  moves.sort((a, b) => a.onset - b.onset);
  const respelt = passage.plucks.map((p) => anew.get(p.id) ?? p);
  return { ...given, start, passage: { ...passage, plucks: respelt }, moves };
}

/**
 * The plan with every repeat alike in its passes: each section under a repeat, and each of its endings but the last,
 * begins and ends with one setting; spelling and fingers are those of the first pass. Of the settings that the given
 * plan has at the section's bar lines, those that need fewest moves are taken. Only for passes that sound alike; a
 * jump, a sweep or a tremble leaves its section as it is. Where no such plan is found, or each breaks a rule that the
 * given one keeps, the given one is answered. Pure.
 */
export function repeatsAlike(given: PlannedPassage): PlannedPassage {
  const { passage } = given;
  const { form } = passage;
  if (form === undefined || form.some((bar) => bar.jump !== undefined)) return given;
  if (passage.bars.some((bar) => bar.written === undefined)) return given;
  const plucks = plucksByBar(given);
  const parts = sections(passage.bars, form).map((bars): Section => ({
    bars,
    pieces: firstPass(bars, plucks, passage, form),
  }));
  if (parts.every(({ pieces }) => pieces === null)) return given;
  const settings = contentsOf(given).map((content) => content.setting);
  const severe = (one: PlannedPassage): number => judge(one).filter((p) => p.severity === 'error').length;
  const least = severe(given);
  let best: PlannedPassage | null = null;
  for (const taken of TAKEN) {
    const homes = parts.map((part) => (part.pieces === null ? null : homeOf(part, taken, settings)));
    parts.forEach(({ pieces }, i) => {
      // A repeat without endings is left as it is entered: so the next repeat is entered.
      if (pieces?.length === 1 && (homes[i + 1] ?? null) !== null) homes[i + 1] = homes[i] ?? null;
    });
    const tried = planned(given, parts, homes);
    if (tried === null || (best !== null && tried.moves.length >= best.moves.length)) continue;
    if (severe(tried) <= least) best = tried;
  }
  return best ?? given;
}
