/** What hangs on single noteheads: rolls, glissando lines, harmonics, techniques, fingerings. */

import type { Element } from 'xast';
import type { Passage } from '../../../music/passage';
import { diatonicIndex, midiOf } from '../../../music/pitch';
import type { Head, PrintEvent } from './events';
import { el, text } from './xml';

/** `arpeggiate` or `non-arpeggiate` of each pluck, by its id in the passage. */
export function rollElements(passage: Passage, xmlId: (id: string) => string): Map<string, Element> {
  const out = new Map<string, Element>();
  const plucks = new Map(passage.plucks.map((pluck) => [pluck.id, pluck]));
  // Up is what an undirected sign means; it is said aloud where another roll goes down.
  const saysUp = passage.rolls.some((roll) => roll.direction === 'down');
  const atOnset = new Map<number, number>();
  for (const roll of passage.rolls) {
    const notes = roll.plucks.flatMap((id) => plucks.get(id) ?? []);
    notes.sort(
      (a, b) => diatonicIndex(a.pitch) - diatonicIndex(b.pitch) || midiOf(a.pitch) - midiOf(b.pitch),
    );
    const [first, last] = [notes[0], notes.at(-1)];
    if (first === undefined || last === undefined || notes.length < 2) continue;
    const number = Math.min(16, (atOnset.get(first.onset) ?? 0) + 1);
    atOnset.set(first.onset, number);
    const id = xmlId(roll.id);
    if (roll.direction === 'none') {
      out.set(first.id, el('non-arpeggiate', { id, type: 'bottom', number }));
      out.set(last.id, el('non-arpeggiate', { type: 'top', number }));
      continue;
    }
    const direction = roll.direction === 'down' || saysUp ? roll.direction : undefined;
    notes.forEach((note, i) => {
      out.set(note.id, el('arpeggiate', { ...(i === 0 ? { id } : {}), number, direction }));
    });
  }
  return out;
}

/** A number from 1 for each sweep, such that sweeps that sound together differ. */
export function sweepNumbers(events: readonly PrintEvent[]): Map<string, number> {
  const out = new Map<string, number>();
  const until: number[] = [];
  for (const event of events) {
    if (event.kind !== 'sweep' || event.of === null) continue;
    let number = until.findIndex((end) => end <= event.onset);
    if (number < 0) number = until.length;
    until[number] = event.end + 1;
    out.set(event.of, Math.min(16, number + 1));
  }
  return out;
}

/** The straight line of a pedal slide. */
export const slideLine = (type: 'start' | 'stop', number: number): Element =>
  el('slide', { type, number, 'line-type': 'solid' });

/** The wavy line of a sweep. */
export const glissando = (type: 'start' | 'stop', number: number): Element =>
  type === 'start'
    ? text('glissando', 'gliss.', { type, number, 'line-type': 'wavy' })
    : el('glissando', { type, number, 'line-type': 'wavy' });

/** Technique and finger of a head as `technical`, or null where there is neither. */
export function technical(head: Head, fingering: boolean): Element | null {
  const parts: Element[] = [];
  if (head.technique === 'harmonic') parts.push(el('harmonic', {}, el('natural', {}), el('base-pitch', {})));
  if (head.technique === 'nail') parts.push(el('fingernails', {}));
  if (head.technique === 'etouffe')
    parts.push(text('other-technical', 'étouffé', { placement: 'above', smufl: 'pluckedDamp' }));
  if (head.technique === 'table')
    parts.push(text('other-technical', 'près de la table', { placement: 'above' }));
  if (fingering && head.finger !== null) parts.push(text('fingering', head.finger));
  return parts.length === 0 ? null : el('technical', {}, ...parts);
}
