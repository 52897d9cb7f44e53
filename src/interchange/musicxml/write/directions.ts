/** Everything that is printed at an instant and not at a note: tempo, pedals, dynamics, damping, words. */

import type { Element } from 'xast';
import { type Ticks, ticks } from '../../../base/units';
import { type Metre, barAt, beatTicks } from '../../../music/metre';
import { DEFAULT_MILLI_BPM } from '../../../music/tempo';
import { type PlannedPassage, settingAt } from '../../../harp/planned';
import { PEDALS, type Setting, positionOf } from '../../../harp/setting';
import { stringName } from '../../../harp/strings';
import { harmonyElement } from './harmony';
import { noteValue } from './values';
import { type Node, el, text } from './xml';

/** How pedal changes are shown after the opening diagram. */
export type PedalMarking = 'words' | 'diagrams' | 'none';

/** One mark: where it stands, its place among marks of one instant, and its element for an offset in divisions. */
export interface Mark {
  readonly onset: Ticks;
  readonly order: number;
  readonly element: (offset: number) => Element;
}

export interface DirectionShape {
  readonly placement: 'above' | 'below';
  readonly staff: 1 | 2;
  readonly types: readonly Element[];
  readonly sound?: Readonly<Record<string, string | number>>;
}

/** A `direction` mark. */
export const directionMark = (onset: Ticks, order: number, shape: DirectionShape): Mark => ({
  onset,
  order,
  element: (offset) =>
    el(
      'direction',
      { placement: shape.placement },
      ...shape.types.map((type) => el('direction-type', {}, type)),
      offset === 0 ? null : text('offset', offset),
      text('staff', shape.staff),
      shape.sound === undefined ? null : el('sound', { ...shape.sound }),
    ),
});

const SIGNS = { '-1': '♭', '0': '♮', '1': '♯' } as const;

/** Thousandths as a decimal without needless zeros: 96000 → '96', 67500 → '67.5'. */
const decimal = (thousandths: number): string => {
  const whole = Math.floor(thousandths / 1000);
  const rest = String(thousandths % 1000)
    .padStart(3, '0')
    .replace(/0+$/, '');
  return rest === '' ? String(whole) : `${whole}.${rest}`;
};

function tempoMarks(planned: PlannedPassage): Mark[] {
  const { tempo, bars } = planned.passage;
  const changes =
    tempo[0]?.onset === 0 ? tempo : [{ onset: ticks(0), milliBpm: DEFAULT_MILLI_BPM }, ...tempo];
  return changes.map((change) => {
    const metre: Metre = bars.length === 0 ? { beats: 4, unit: 4 } : barAt(bars, change.onset).metre;
    const value = noteValue(beatTicks(metre)) ?? { type: 'quarter', dots: 0 };
    // Beats a minute for the eye: a tenth at most, else whole; `sound` keeps the exact tempo.
    const exact = Math.round((change.milliBpm * 3360) / beatTicks(metre));
    const perMinute = exact % 100 === 0 ? exact : 1000 * Math.round(exact / 1000);
    const dots: Node[] = value.dots === 1 ? [el('beat-unit-dot', {})] : [];
    const metronome = el(
      'metronome',
      {},
      text('beat-unit', value.type),
      ...dots,
      text('per-minute', decimal(perMinute)),
    );
    return directionMark(change.onset, 0, {
      placement: 'above',
      staff: 1,
      types: [metronome],
      sound: { tempo: decimal(change.milliBpm) },
    });
  });
}

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

const diagramMark = (onset: Ticks, setting: Setting): Mark =>
  directionMark(onset, 2, { placement: 'above', staff: 1, types: [diagram(setting)] });

/**
 * The opening setting, each move, and the setting before a glissando where it differs from the last one printed.
 * Words stand below the staves, the right foot's above the left's.
 */
function pedalMarks(planned: PlannedPassage, marking: PedalMarking): Mark[] {
  const out: Mark[] = [diagramMark(ticks(0), planned.start)];
  const sweeps = planned.passage.sweeps.map((sweep) => sweep.onset).sort((a, b) => a - b);
  if (marking === 'none') return out;
  if (marking === 'words') {
    for (const move of planned.moves) {
      out.push(
        directionMark(move.onset, move.foot === 'right' ? 3 : 4, {
          placement: 'below',
          staff: 2,
          types: [text('words', move.letter + SIGNS[move.to])],
        }),
      );
    }
  }
  const places = marking === 'words' ? sweeps : [...sweeps, ...planned.moves.map((move) => move.onset)];
  let printed = planned.start;
  for (const onset of places.sort((a, b) => a - b)) {
    const setting = settingAt(planned, onset);
    if (setting !== printed) out.push(diagramMark(onset, setting));
    printed = setting;
  }
  return out;
}

function dampMarks(planned: PlannedPassage): Mark[] {
  return planned.passage.damps.map((damp) => {
    const types =
      damp.below === undefined
        ? [el('damp-all', {})]
        : [
            el('damp', {}),
            text('other-direction', `damp below ${stringName(damp.below)}`, { 'print-object': 'no' }),
          ];
    return directionMark(damp.onset, 6, { placement: 'below', staff: 2, types });
  });
}

/** Marks that the plan itself carries, in no particular order. */
export function planMarks(planned: PlannedPassage, marking: PedalMarking): Mark[] {
  const chords = planned.passage.chords.map((chord) => ({
    onset: chord.onset,
    order: 1,
    element: (offset: number) => harmonyElement(chord, offset),
  }));
  return [...tempoMarks(planned), ...chords, ...pedalMarks(planned, marking), ...dampMarks(planned)];
}
