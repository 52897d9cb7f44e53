/** Directions put in or taken out: words, pedal diagrams, pedal words. */

import { PEDALS, type Setting, positionOf } from '../../../harp/setting';
import { pedalWords } from '../read/words';
import { type Node, insertAfter, insertBefore, make, node, nodes, remove, replace, textOf } from './lossless';
import type { Measure, OpenedScore } from './score';

export interface Shape {
  readonly type: Node;
  readonly placement: 'above' | 'below';
  readonly staff: 1 | 2;
  /** Quarter notes a minute that sound from here. */
  readonly tempo?: number;
}

/** Puts a direction before the first note that begins with it; else before the note that sounds then, with an offset. */
export function addDirection(score: OpenedScore, measure: Measure, at: number, shape: Shape): void {
  const { notes, end } = score.timeline(measure);
  const heads = notes.filter((timed) => !timed.chord && !timed.grace);
  const onStaff = heads.filter((timed) => timed.staff === shape.staff);
  const place =
    onStaff.find((timed) => timed.at === at) ??
    heads.find((timed) => timed.at === at) ??
    heads.filter((timed) => timed.at < at).sort((a, b) => b.at - a.at)[0] ??
    heads[0];
  const offset = at - (place?.at ?? end);
  const direction = make(
    'direction',
    { placement: shape.placement },
    make('direction-type', {}, shape.type),
    offset === 0 ? null : make('offset', {}, score.divisions(measure, offset)),
    shape.staff === 2 || measure.standing.staves > 1 ? make('staff', {}, shape.staff) : null,
    shape.tempo === undefined ? null : make('sound', { tempo: shape.tempo }),
  );
  if (place !== undefined) insertBefore(measure.node, firstOf(measure, place.node), direction);
  else insertAfter(measure.node, nodes(measure.node).at(-1) ?? null, direction);
}

/** Small notes that lead to a note stand before it in the file and at its onset. */
function firstOf(measure: Measure, note: Node): Node {
  const all = nodes(measure.node);
  let at = all.indexOf(note);
  while (at > 0 && all[at - 1]?.name === 'note' && node(all[at - 1], 'grace') !== undefined) at--;
  return all[at] as Node;
}

export const metronomeNode = (tempo: number): Node =>
  make('metronome', {}, make('beat-unit', {}, 'quarter'), make('per-minute', {}, tempo));

export const diagramNode = (setting: Setting): Node =>
  make(
    'harp-pedals',
    {},
    ...PEDALS.map((letter) =>
      make(
        'pedal-tuning',
        {},
        make('pedal-step', {}, letter),
        make('pedal-alter', {}, positionOf(setting, letter)),
      ),
    ),
  );

/** Takes out diagrams and words that are pedals and nothing else; what else a direction says stays. */
export function clearPedals(measure: Measure): void {
  for (const direction of nodes(measure.node, 'direction')) {
    const types = nodes(direction, 'direction-type');
    const words = types
      .flatMap((type) => nodes(type))
      .filter((t) => t.name === 'words' || t.name === 'symbol');
    const said = words.map(textOf).join(' ');
    const isPedals =
      pedalWords(said.replace(/accidental(Flat|Natural|Sharp)/g, (_, s: string) => SIGNS[s] ?? '')) !== null;
    for (const type of types) {
      for (const child of nodes(type)) {
        if (child.name === 'harp-pedals' || (isPedals && words.includes(child))) remove(type, child);
      }
      if (nodes(type).length === 0) remove(direction, type);
    }
    if (nodes(direction, 'direction-type').length > 0) continue;
    const sound = node(direction, 'sound');
    if (sound === undefined) remove(measure.node, direction);
    else replace(measure.node, direction, sound);
  }
}

const SIGNS: Readonly<Record<string, string>> = { Flat: '♭', Natural: '♮', Sharp: '♯' };
