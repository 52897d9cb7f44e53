/** Directions put in or taken out: words, pedal diagrams, pedal words. */

import { PEDALS, type Position, type Setting, positionOf } from '../../../harp/setting';
import { type Letter, spellingName } from '../../../music/pitch';
import { pedalWords } from '../read/words';
import { type Node, insertAfter, insertBefore, make, node, nodes, remove, replace, textOf } from './lossless';
import type { Measure, OpenedScore } from './score';
import { directionsOf } from './timeline';

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
    const words = wordsOf(direction);
    const isPedals = pedalWords(plainSigns(words.map(textOf).join(' '))) !== null;
    for (const type of types) {
      for (const child of nodes(type)) {
        if (child.name === 'harp-pedals' || (isPedals && words.includes(child))) remove(type, child);
      }
      if (nodes(type).length === 0) remove(direction, type);
    }
    if (nodes(direction, 'direction-type').length === 0) dropDirection(measure, direction);
  }
}

/** The words of a direction, with signs for names of accidentals. */
const wordsOf = (direction: Node): Node[] =>
  nodes(direction, 'direction-type')
    .flatMap((type) => nodes(type))
    .filter((t) => t.name === 'words' || t.name === 'symbol');
const plainSigns = (said: string): string =>
  said.replace(/accidental(Flat|Natural|Sharp)/g, (_, s: string) => SIGNS[s] ?? '');

/** Directions of a measure that a test holds for, the nearest to a tick first. */
function nearest(measure: Measure, at: number, test: (direction: Node) => boolean): Node[] {
  return directionsOf(measure.node, measure.standing)
    .filter(({ node: direction }) => test(direction))
    .sort((a, b) => Math.abs(a.at - at) - Math.abs(b.at - at))
    .map(({ node: direction }) => direction);
}

/** Takes the word for one pedal out at a tick; false where the measure has none. */
export function takePedal(measure: Measure, at: number, letter: Letter): boolean {
  const [direction] = nearest(measure, at, (d) => {
    const said = pedalWords(plainSigns(wordsOf(d).map(textOf).join(' ')));
    return said?.some((word) => word.letter === letter) ?? false;
  });
  if (direction === undefined) return false;
  const words = wordsOf(direction);
  const said = pedalWords(plainSigns(words.map(textOf).join(' '))) ?? [];
  const rest = said.filter((word) => word.letter !== letter);
  const [first, ...others] = words as [Node, ...Node[]];
  const text = rest.map(({ letter: l, to }) => (to === 0 ? `${l}♮` : spellingName(l, to))).join(' ');
  for (const type of nodes(direction, 'direction-type')) {
    for (const child of nodes(type)) {
      if (others.includes(child) || (rest.length === 0 && child === first)) remove(type, child);
      else if (child === first) replace(type, child, make('words', {}, text));
    }
    if (nodes(type).length === 0) remove(direction, type);
  }
  if (nodes(direction, 'direction-type').length === 0) dropDirection(measure, direction);
  return true;
}

/** One pedal of the diagram nearest to a tick; false where the measure has none. */
export function setPedal(measure: Measure, at: number, letter: Letter, to: Position): boolean {
  const diagrams = (d: Node): Node[] =>
    nodes(d, 'direction-type').flatMap((type) => nodes(type, 'harp-pedals'));
  const [direction] = nearest(measure, at, (d) => diagrams(d).length > 0);
  const tunings = direction === undefined ? [] : diagrams(direction).flatMap((d) => nodes(d, 'pedal-tuning'));
  const own = tunings.find((t) => textOf(node(t, 'pedal-step')) === letter);
  const alter = node(own, 'pedal-alter');
  if (own === undefined || alter === undefined) return false;
  replace(own, alter, make('pedal-alter', {}, to));
  return true;
}

function dropDirection(measure: Measure, direction: Node): void {
  const sound = node(direction, 'sound');
  if (sound === undefined) remove(measure.node, direction);
  else replace(measure.node, direction, sound);
}

const SIGNS: Readonly<Record<string, string>> = { Flat: '♭', Natural: '♮', Sharp: '♯' };
