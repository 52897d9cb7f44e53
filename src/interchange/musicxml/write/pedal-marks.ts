/** Pedals on the page: diagrams of whole settings, and single changes as words. */

import type { Element } from 'xast';
import { type Ticks, ticks } from '../../../base/units';
import { type Move, type PlannedPassage, settingAt } from '../../../harp/planned';
import { PEDALS, type Position, type Setting, positionOf } from '../../../harp/setting';
import { type Mark, directionMark } from './marks';
import type { MusicXmlOptions, PedalMarking } from './options';
import { longRests, playedOnsets } from './silences';
import { el, text } from './xml';

const SIGNS: Readonly<Record<Position, string>> = { '-1': '♭', '0': '♮', '1': '♯' };

/** All seven pedals in the order D C B E F G A. */
export function diagram(setting: Setting): Element {
  return el(
    'harp-pedals',
    {},
    ...PEDALS.map((letter) =>
      el('pedal-tuning', {}, text('pedal-step', letter), text('pedal-alter', positionOf(setting, letter))),
    ),
  );
}

/** A whole setting in two lines of words, every sign said, the right foot's over the left's (common practice). */
export function settingWords(setting: Setting): string {
  const name = (letters: readonly (typeof PEDALS)[number][]) =>
    letters.map((letter) => letter + SIGNS[positionOf(setting, letter)]).join(' ');
  return `${name(PEDALS.slice(3))}\n${name(PEDALS.slice(0, 3))}`;
}

const settingMark = (onset: Ticks, setting: Setting, asWords: boolean): Mark =>
  directionMark(onset, 2, {
    placement: 'above',
    staff: 1,
    types: [asWords ? text('words', settingWords(setting)) : diagram(setting)],
  });

/** Distance of the two lines of pedal words from the top line of the lower staff, in tenths of a staff space. */
const LINES = { right: -90, left: -115 } as const;

/**
 * The moves that are printed: where rests are gathered, those within a long rest are told by the setting at its end and
 * leave the rest whole, slides apart.
 */
function printedMoves({ passage, moves }: PlannedPassage, { multiRests }: MusicXmlOptions): readonly Move[] {
  const rests = multiRests === true ? longRests(passage) : [];
  const slides = passage.slides ?? [];
  return moves.filter(
    ({ onset, letter }) =>
      !rests.some(({ from, to }) => onset >= from && onset < to) ||
      // A slide is heard: its pedal moves where it says.
      slides.some((slide) => slide.onset === onset && slide.to.letter === letter),
  );
}

function changeMarks(moves: readonly Move[], marking: PedalMarking, between: boolean): Mark[] {
  if (marking !== 'words' && marking !== 'two-lines') return [];
  return moves.map((move) => {
    const line = marking === 'two-lines' && !between ? { 'default-y': LINES[move.foot] } : {};
    return directionMark(move.onset, move.foot === 'right' ? 3 : 4, {
      placement: 'below',
      staff: between ? 1 : 2,
      types: [text('words', move.letter + SIGNS[move.to], line)],
    });
  });
}

/** Instants at which the whole setting may be shown, beside the start: `always` or only where it is a new one. */
function places(
  { passage }: PlannedPassage,
  moves: readonly Move[],
  marking: PedalMarking,
): { at: Ticks; always: boolean }[] {
  const onsets = playedOnsets(passage);
  const firstFrom = (at: Ticks): Ticks => onsets.find((onset) => onset >= at) ?? at;
  return [
    ...passage.sweeps.map(({ onset }) => ({ at: onset, always: false })),
    ...longRests(passage).map(({ to }) => ({ at: to, always: true })),
    ...(passage.rehearsals ?? []).map(({ onset }) => ({ at: firstFrom(onset), always: true })),
    ...(marking === 'diagrams' ? moves.map(({ onset }) => ({ at: onset, always: false })) : []),
  ];
}

/** The setting of the next page's first note, shown after the last note before the turn. */
function turnMarks(planned: PlannedPassage, options: MusicXmlOptions): Mark[] {
  const onsets = playedOnsets(planned.passage);
  return (options.pageBreaks ?? []).flatMap((index) => {
    const turn = planned.passage.bars[index];
    const before = planned.passage.bars[index - 1];
    if (turn === undefined || before === undefined) return [];
    const next = onsets.find((onset) => onset >= turn.start);
    if (next === undefined) return [];
    const last = onsets.findLast((onset) => onset < turn.start) ?? before.start;
    // On the beat after the last note, or in the middle of an empty last bar.
    const at =
      last < before.start
        ? before.start
        : ticks(Math.min(turn.start - 1, Math.ceil((last + 1) / 3360) * 3360));
    return [settingMark(at, settingAt(planned, next), options.asWords ?? false)];
  });
}

/** Diagrams and words of a part, in no particular order. One diagram at most stands at an instant. */
export function pedalMarks(planned: PlannedPassage, options: MusicXmlOptions): Mark[] {
  const marking = options.pedals ?? 'words';
  if (marking === 'none') return [];
  const asWords = options.asWords ?? false;
  const out: Mark[] = [settingMark(ticks(0), planned.start, asWords)];
  const moves = printedMoves(planned, options);
  const all = places(planned, moves, marking).sort(
    (a, b) => a.at - b.at || Number(b.always) - Number(a.always),
  );
  let printed = { at: ticks(0), setting: planned.start };
  // What the words have told since the last diagram need not be told again, save before a glissando.
  for (const { at, always } of all) {
    const setting = settingAt(planned, at);
    if (at === printed.at || (!always && setting === printed.setting)) continue;
    out.push(settingMark(at, setting, asWords));
    printed = { at, setting };
  }
  out.push(...turnMarks(planned, options), ...changeMarks(moves, marking, options.pedalsBetween ?? false));
  return out;
}
