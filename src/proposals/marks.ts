/** A plan read from the pedal marks that a part carries. */

import type { Micros, Ticks } from '../base/units';
import type { Instrument } from '../harp/instrument';
import type { Move, PlannedPassage } from '../harp/planned';
import {
  PEDALS,
  type Position,
  type Setting,
  footOf,
  keySetting,
  positionOf,
  withPosition,
} from '../harp/setting';
import type { Passage } from '../music/passage';
import type { Letter } from '../music/pitch';
import { type TempoMap, tempoMap } from '../music/tempo';
import { DEFAULT_FOOT_TIMES, FEET, HARD_SPACING } from '../pedals/foot-times';
import { type Needs, needBefore, needsOf, openingFor, tuningOf } from './check-needs';

/** Pedal marks in the order of the score. */
export interface PedalMarks {
  /** Diagrams: all seven pedals at an onset. */
  readonly settings: readonly { readonly onset: Ticks; readonly setting: Setting }[];
  /** Single changes. */
  readonly moves: readonly { readonly onset: Ticks; readonly letter: Letter; readonly to: Position }[];
}

export const hasMarks = (marks: PedalMarks): boolean => marks.settings.length + marks.moves.length > 0;

/** First instant at which something is struck; endless for a passage without notes. */
export const firstOnset = (passage: Passage): number =>
  [...passage.plucks, ...passage.sweeps, ...passage.trembles].reduce(
    (least, x) => Math.min(least, x.onset),
    Infinity,
  );

/** The diagram that stands before the first note, or null. */
export function openingDiagram(passage: Passage, marks: PedalMarks): Setting | null {
  const opening = marks.settings[0];
  return opening === undefined || opening.onset > firstOnset(passage) ? null : opening.setting;
}

/** Where the letters stand before anything is marked: as the first notes before each letter's first mark want them. */
function impliedOpening(passage: Passage, marks: PedalMarks, needs: Needs): Setting {
  const upTo = (letter: Letter): number =>
    Math.min(
      marks.moves.find((m) => m.letter === letter)?.onset ?? Infinity,
      marks.settings[0]?.onset ?? Infinity,
    );
  const early = Object.fromEntries(
    PEDALS.map((letter) => [letter, needs[letter].filter((n) => n.onset <= upTo(letter)).slice(0, 1)]),
  ) as unknown as Needs;
  return openingFor(early, keySetting(passage.fifths));
}

/**
 * Instants for the changes that a diagram implies: it shows where the pedals stand by then, so one foot's changes
 * come one after another before it, each after the last note that needs the old position and the letter's last mark.
 */
function spread(
  changes: readonly { readonly letter: Letter; readonly to: Position }[],
  at: Ticks,
  since: (letter: Letter) => number,
  map: TempoMap,
): { readonly onset: Ticks; readonly letter: Letter; readonly to: Position }[] {
  const out: { onset: Ticks; letter: Letter; to: Position }[] = [];
  for (const foot of FEET) {
    const mine = changes
      .filter((c) => footOf(c.letter) === foot)
      .map((c) => ({ ...c, from: since(c.letter) }))
      .sort((a, b) => b.from - a.from);
    const withGap = (gap: number) => {
      let time = map.microsAt(at) as number;
      return mine.map((c, i) => {
        if (i > 0) time -= gap;
        const onset = i === 0 ? at : time < 0 ? (-1 as Ticks) : map.ticksAt(time as Micros);
        return { onset, letter: c.letter, to: c.to, fits: onset >= Math.max(0, c.from) };
      });
    };
    const tried = [
      DEFAULT_FOOT_TIMES.reach + DEFAULT_FOOT_TIMES.secondPosition,
      DEFAULT_FOOT_TIMES.reach,
      HARD_SPACING,
    ].map(withGap);
    const fit = tried.find((list) => list.every((m) => m.fits));
    const chosen = fit ?? mine.map((c) => ({ onset: at, letter: c.letter, to: c.to }));
    out.push(...chosen.map(({ onset, letter, to }) => ({ onset, letter, to })));
  }
  return out;
}

/**
 * The planned passage that the marks describe, or null where no diagram stands at or before the first onset.
 * Words are moves at their instant; diagrams after the opening are the moves that they imply, before their place.
 */
export function planFromMarks(
  passage: Passage,
  marks: PedalMarks,
  instrument: Instrument,
): PlannedPassage | null {
  const opening = openingDiagram(passage, marks);
  return opening === null || firstOnset(passage) === Infinity
    ? null
    : follow(passage, marks, instrument, opening, marks.settings.slice(1));
}

/**
 * The same for a part that marks its changes and prints no opening: the pedals begin as the first notes before each
 * letter's first mark want them, or as the key signature has them. Null for a part without marks or without notes.
 */
export function planFromChanges(
  passage: Passage,
  marks: PedalMarks,
  instrument: Instrument,
): PlannedPassage | null {
  if (!hasMarks(marks) || firstOnset(passage) === Infinity) return null;
  const opening = impliedOpening(passage, marks, needsOf(passage, instrument));
  return follow(passage, marks, instrument, opening, marks.settings);
}

function follow(
  passage: Passage,
  marks: PedalMarks,
  instrument: Instrument,
  start: Setting,
  later: PedalMarks['settings'],
): PlannedPassage {
  const needs = needsOf(passage, instrument);
  const map = tempoMap(passage.tempo);
  const moves: Move[] = [];
  const lastMark: Partial<Record<Letter, number>> = {};
  let standing = start;
  const steps = [
    ...marks.moves.map((m) => ({ onset: m.onset, word: m, setting: null })),
    ...later.map((s) => ({ onset: s.onset, word: null, setting: s.setting })),
  ].sort((a, b) => a.onset - b.onset);
  for (const step of steps) {
    const now = standing;
    const asked: { onset: Ticks; letter: Letter; to: Position }[] =
      step.word !== null
        ? [step.word]
        : spread(
            PEDALS.filter((letter) => positionOf(step.setting, letter) !== positionOf(now, letter)).map(
              (letter) => ({ letter, to: positionOf(step.setting, letter) }),
            ),
            step.onset,
            (letter) => Math.max(needBefore(needs[letter], step.onset)?.end ?? 0, lastMark[letter] ?? 0),
            map,
          );
    for (const { onset, letter, to } of asked) {
      const from = positionOf(standing, letter);
      lastMark[letter] = onset;
      if (from === to) continue;
      moves.push({ onset, letter, from, to, foot: footOf(letter) });
      standing = withPosition(standing, letter, to);
    }
  }
  moves.sort((a, b) => a.onset - b.onset);
  return { passage, instrument, start, moves, tuning: tuningOf(passage, instrument) };
}
