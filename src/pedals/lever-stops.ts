/** From a passage to what the levers must do: at each instant the ways to spell what is struck, and the left hand's time. */

import type { Ticks } from '../base/units';
import { positionOf } from '../harp/setting';
import { type StringIndex, stringLetter, stringOf } from '../harp/strings';
import type { Passage } from '../music/passage';
import { type Pitch, harpSpellings, midiOf } from '../music/pitch';
import type { Note } from './demand-types';
import { type Lever, type LeverOptions, openPosition } from './lever-types';

/** Levers that must stand, by string, and the spelling of each note. */
export interface LeverWay {
  readonly needs: ReadonlyMap<StringIndex, Lever>;
  readonly spelt: ReadonlyMap<string, Pitch>;
  readonly respelt: number;
  /** Strings that may not move until so many ticks: swept or trembled. */
  readonly holds: ReadonlyMap<StringIndex, Ticks>;
}

export interface LeverStop {
  readonly onset: Ticks;
  /** Empty where nothing serves. */
  readonly ways: readonly LeverWay[];
  readonly ids: readonly string[];
}

/** The spellings that the harp's strings have for a note, the written one first. */
export function leverSpellings(note: Note, options: LeverOptions): Pitch[] {
  const { harp } = options;
  const all = harpSpellings(midiOf(note.pitch)).filter((p) => {
    const string = stringOf(p);
    const up = p.alter - openPosition(harp, string);
    return string >= harp.lowest && string <= harp.highest && (up === 0 || up === 1);
  });
  const written = all.filter((p) => p.letter === note.pitch.letter);
  // A double sign is always respelt; else a fixed note, and every note on request, keeps its letter.
  if ((options.keepSpelling || note.fixed === true) && Math.abs(note.pitch.alter) <= 1) return written;
  return [...written, ...all.filter((p) => !written.includes(p))];
}

const leverOf = (p: Pitch, options: LeverOptions): Lever =>
  (p.alter - openPosition(options.harp, stringOf(p))) as Lever;

/** Every spelling of these notes together: no string two ways, no two pitches on one string. */
function waysOf(notes: readonly Note[], until: Ticks | null, options: LeverOptions): LeverWay[] {
  let ways: LeverWay[] = [{ needs: new Map(), spelt: new Map(), respelt: 0, holds: new Map() }];
  for (const note of notes) {
    const next: LeverWay[] = [];
    for (const way of ways) {
      for (const pitch of leverSpellings(note, options)) {
        const [string, lever] = [stringOf(pitch), leverOf(pitch, options)];
        const stands = way.needs.get(string);
        if (stands !== undefined && stands !== lever) continue;
        next.push({
          needs: new Map(way.needs).set(string, lever),
          spelt: new Map(way.spelt).set(note.id, pitch),
          holds: until === null ? way.holds : new Map(way.holds).set(string, until),
          respelt: way.respelt + (pitch.letter === note.pitch.letter ? 0 : 1),
        });
      }
    }
    ways = next;
  }
  return ways;
}

const endOf = (x: { onset: Ticks; duration: Ticks }): Ticks => (x.onset + Math.max(1, x.duration)) as Ticks;

/** The settings of a sweep that the levers can give to the strings that it sweeps. */
function sweepWays(sweep: Passage['sweeps'][number], options: LeverOptions): LeverWay[] {
  const { harp } = options;
  const [low, high] = [Math.min(sweep.from, sweep.to), Math.max(sweep.from, sweep.to)];
  if (low < harp.lowest || high > harp.highest) return [];
  const seen = new Map<string, LeverWay>();
  for (const setting of sweep.settings) {
    const needs = new Map<StringIndex, Lever>();
    for (let s = low; s <= high; s++) {
      const up = positionOf(setting, stringLetter(s)) - openPosition(harp, s);
      if (up === 0 || up === 1) needs.set(s, up);
    }
    if (needs.size === high - low + 1)
      seen.set([...needs.values()].join(''), {
        needs,
        spelt: new Map(),
        respelt: 0,
        holds: new Map([...needs.keys()].map((string) => [string, endOf(sweep)])),
      });
  }
  return [...seen.values()];
}

function together(a: readonly LeverWay[], b: readonly LeverWay[]): LeverWay[] {
  return a.flatMap((x) =>
    b.flatMap((y): LeverWay[] => {
      for (const [string, lever] of y.needs) {
        const stands = x.needs.get(string);
        if (stands !== undefined && stands !== lever) return [];
      }
      return [
        {
          needs: new Map([...x.needs, ...y.needs]),
          spelt: new Map([...x.spelt, ...y.spelt]),
          respelt: x.respelt + y.respelt,
          holds: new Map([...x.holds, ...y.holds]),
        },
      ];
    }),
  );
}

/** The stops of a passage, by onset. */
export function leverStops(passage: Passage, options: LeverOptions): LeverStop[] {
  const onsets = new Set([...passage.plucks, ...passage.sweeps, ...passage.trembles].map((x) => x.onset));
  return [...onsets]
    .sort((a, b) => a - b)
    .map((onset): LeverStop => {
      const here = <X extends { readonly onset: Ticks }>(list: readonly X[]): X[] =>
        list.filter((x) => x.onset === onset);
      const [plucks, trembles, sweeps] = [here(passage.plucks), here(passage.trembles), here(passage.sweeps)];
      const ways = [
        ...trembles.map((t) => waysOf(t.notes, endOf(t), options)),
        ...sweeps.map((s) => sweepWays(s, options)),
      ].reduce(together, waysOf(plucks, null, options));
      const notes = [...plucks, ...trembles.flatMap((t) => t.notes)];
      return { onset, ways, ids: [...notes.map((n) => n.id), ...sweeps.map((s) => s.id)] };
    });
}

/** When the left hand plays: from an onset to the end of what it does there. A note without a hand counts as its. */
export function leftHandTimes(passage: Passage): { readonly from: Ticks; readonly to: Ticks }[] {
  const strokes = passage.plucks.filter((p) => p.hand !== 'R').map((p) => ({ from: p.onset, to: p.onset }));
  const spans = [
    ...passage.sweeps.filter((s) => s.hand !== 'R'),
    ...passage.trembles.filter((t) => t.notes.some((n) => n.hand !== 'R')),
  ].map((x) => ({ from: x.onset, to: endOf(x) }));
  return [...strokes, ...spans].sort((a, b) => a.from - b.from || a.to - b.to);
}
