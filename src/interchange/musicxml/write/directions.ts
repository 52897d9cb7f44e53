/** What is printed at an instant and not at a note: tempo, chords, hairpins, rehearsal marks, damping, words. */

import { type Ticks, ticks } from '../../../base/units';
import { type Metre, barAt, beatTicks } from '../../../music/metre';
import { DEFAULT_MILLI_BPM, type TempoChange } from '../../../music/tempo';
import type { PlannedPassage } from '../../../harp/planned';
import { stringName } from '../../../harp/strings';
import { ASSUMED_TEMPO } from '../assumed-tempo';
import { harmonyElement } from './harmony';
import { type Mark, directionMark } from './marks';
import type { MusicXmlOptions } from './options';
import { pedalMarks } from './pedal-marks';
import { noteValue } from './values';
import { type Node, cleanText, el, text } from './xml';

/** Thousandths as a decimal without needless zeros: 96000 → '96', 67500 → '67.5'. */
const decimal = (thousandths: number): string => {
  const whole = Math.floor(thousandths / 1000);
  const rest = String(thousandths % 1000)
    .padStart(3, '0')
    .replace(/0+$/, '');
  return rest === '' ? String(whole) : `${whole}.${rest}`;
};

/** A tempo that is played and not printed. */
const heardTempo = ({ onset, milliBpm }: TempoChange, id?: string): Mark => ({
  onset,
  order: 0,
  element: (offset) =>
    el('sound', { id, tempo: decimal(milliBpm) }, offset === 0 ? null : text('offset', offset)),
});

function tempoMarks(planned: PlannedPassage): Mark[] {
  const { tempo, bars } = planned.passage;
  const assumed =
    tempo[0]?.onset === 0
      ? []
      : [heardTempo({ onset: ticks(0), milliBpm: DEFAULT_MILLI_BPM }, ASSUMED_TEMPO)];
  const given = tempo.map((change) => {
    if (change.unseen === true) return heardTempo(change);
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
  return [...assumed, ...given];
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

/** Numbers of hairpins, so that those that overlap differ; a hairpin stands between the staves, for both hands. */
function hairpinMarks(planned: PlannedPassage): Mark[] {
  const until: number[] = [];
  return [...(planned.passage.hairpins ?? [])]
    .sort((a, b) => a.from - b.from || a.to - b.to)
    .filter((pin) => pin.to > pin.from)
    .flatMap((pin) => {
      let slot = until.findIndex((end) => end <= pin.from);
      if (slot < 0) slot = until.length;
      until[slot] = pin.to;
      const number = Math.min(16, slot + 1);
      const wedge = (onset: Ticks, order: number, type: string) =>
        directionMark(onset, order, { placement: 'below', staff: 1, types: [el('wedge', { type, number })] });
      return [wedge(pin.from, 5.5, pin.kind), { ...wedge(pin.to, 4.5, 'stop'), closes: true }];
    });
}

function rehearsalMarks(planned: PlannedPassage): Mark[] {
  return (planned.passage.rehearsals ?? []).map((mark) =>
    directionMark(mark.onset, -1, {
      placement: 'above',
      staff: 1,
      types: [text('rehearsal', cleanText(mark.text), { enclosure: 'square', 'font-weight': 'bold' })],
    }),
  );
}

function wordMarks(planned: PlannedPassage): Mark[] {
  return (planned.passage.words ?? []).map((words) =>
    directionMark(words.onset, 7, {
      placement: words.staff === 2 ? 'below' : 'above',
      staff: words.staff ?? 1,
      types: [text('words', cleanText(words.text), { 'font-style': 'italic' })],
    }),
  );
}

/** Marks that the plan itself carries, in no particular order. */
export function planMarks(planned: PlannedPassage, options: MusicXmlOptions): Mark[] {
  const chords = planned.passage.chords.map((chord) => ({
    onset: chord.onset,
    order: 1,
    element: (offset: number) => harmonyElement(chord, offset),
  }));
  return [
    ...tempoMarks(planned),
    ...((options.chords ?? true) ? chords : []),
    ...pedalMarks(planned, options),
    ...rehearsalMarks(planned),
    ...hairpinMarks(planned),
    ...wordMarks(planned),
    ...dampMarks(planned),
  ];
}
