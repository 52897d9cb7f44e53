/** A planned passage as a MusicXML 4.0 file: one part named Harp on two staves. */

import type { Element } from 'xast';
import { TICKS_PER_QUARTER } from '../base/units';
import type { Metre } from '../music/metre';
import { VELOCITIES } from '../harp/performance';
import type { PlannedPassage } from '../harp/planned';
import { type Mark, type PedalMarking, planMarks } from './musicxml/write/directions';
import type { Head } from './musicxml/write/events';
import { type DynamicPlan, dynamicMarks, techniqueMarks } from './musicxml/write/expression';
import { PART_ID, header } from './musicxml/write/header';
import {
  type LaidBar,
  type LaidNote,
  type LaidVoice,
  type Layout,
  headKey,
  layOut,
} from './musicxml/write/layout';
import { glissando, rollElements, sweepNumbers, technical } from './musicxml/write/notations';
import { goalElement, headElement, restElement } from './musicxml/write/note';
import type { VoicedEvent } from './musicxml/write/voices';
import { el, idMaker, printScore, text } from './musicxml/write/xml';

export type { PedalMarking } from './musicxml/write/directions';

export interface MusicXmlOptions {
  /** How moves are shown after the opening diagram; `words` unless told otherwise. */
  readonly pedals?: PedalMarking;
  /** Fingerings over the notes; shown unless told otherwise. */
  readonly fingering?: boolean;
}

/** MusicXML's `dynamics` are percents of this MIDI velocity (W3C MusicXML 4.0, note attribute dynamics). */
const FORTE_VELOCITY = 90;

interface Context {
  readonly layout: Layout;
  readonly fingering: boolean;
  readonly xmlId: (id: string) => string;
  readonly rolls: ReadonlyMap<string, Element>;
  readonly sweeps: ReadonlyMap<string, number>;
  readonly dynamics: DynamicPlan;
  readonly marks: readonly Mark[];
}

/**
 * Writes the file. Never fails for a passage whose numbers are finite; the same passage gives the same bytes.
 * Notes carry the ids of their plucks (made safe for XML), tied continuations `id.t1`, `id.t2`, …; a sweep is its
 * first note, held, with a wavy line to a small last note; a tremble is a chord in each hand with tremolo beams.
 */
export function writeMusicXml(planned: PlannedPassage, options: MusicXmlOptions = {}): string {
  const { passage } = planned;
  const layout = layOut(planned);
  const bars = layout.bars.map((laid) => laid.bar);
  const dynamics = dynamicMarks(layout.events, bars);
  const marks = [
    ...planMarks(planned, options.pedals ?? 'words'),
    ...dynamics.marks,
    ...techniqueMarks(layout.events, planned.passage.bars, layout.staffOf),
  ].sort((a, b) => a.onset - b.onset || a.order - b.order);
  const unique = idMaker();
  const given = new Map<string, string>();
  const xmlId = (id: string): string => {
    const known = given.get(id) ?? unique(id);
    given.set(id, known);
    return known;
  };
  // Plucks first, so that no other id takes theirs.
  for (const pluck of passage.plucks) xmlId(pluck.id);
  const context: Context = {
    layout,
    fingering: options.fingering ?? true,
    xmlId,
    rolls: rollElements(passage, (id) => xmlId(`roll ${id}`)),
    sweeps: sweepNumbers(layout.events),
    dynamics,
    marks,
  };
  let metre: Metre | null = null;
  const measures = layout.bars.map((laid, index) => {
    const element = measure(laid, index, metre, passage.fifths, context);
    metre = laid.bar.metre;
    return element;
  });
  return printScore(
    el(
      'score-partwise',
      { version: '4.0' },
      ...header(passage.title),
      el('part', { id: PART_ID }, ...measures),
    ),
  );
}

function attributes(laid: LaidBar, index: number, before: Metre | null, fifths: number): Element | null {
  const { beats, unit } = laid.bar.metre;
  const changed = before === null || before.beats !== beats || before.unit !== unit;
  const time = changed ? el('time', {}, text('beats', beats), text('beat-type', unit)) : null;
  if (index > 0) return time === null ? null : el('attributes', {}, time);
  const clef = (number: number, sign: string, line: number) =>
    el('clef', { number }, text('sign', sign), text('line', line));
  return el(
    'attributes',
    {},
    text('divisions', TICKS_PER_QUARTER),
    el('key', {}, text('fifths', fifths)),
    time,
    text('staves', 2),
    clef(1, 'G', 2),
    clef(2, 'F', 4),
  );
}

function measure(
  laid: LaidBar,
  index: number,
  before: Metre | null,
  fifths: number,
  context: Context,
): Element {
  const { bar, voices } = laid;
  const isLast = index === context.layout.bars.length - 1;
  const end = bar.start + bar.length;
  const here = context.marks.filter(
    (mark) => mark.onset >= bar.start && (mark.onset < end || (isLast && mark.onset >= end)),
  );
  const placed = placeMarks(here, laid);
  const children: (Element | null)[] = [attributes(laid, index, before, fifths)];
  voices.forEach((voice, i) => {
    if (i > 0) children.push(el('backup', {}, text('duration', bar.length)));
    children.push(...voiceElements(voice, index, placed, context));
  });
  if (isLast) children.push(el('barline', { location: 'right' }, text('bar-style', 'light-heavy')));
  const full = (13440 * bar.metre.beats) / bar.metre.unit;
  const implicit = bar.length < full && index === 0 ? { implicit: 'yes' } : {};
  return el('measure', { number: bar.number, ...implicit }, ...children);
}

/**
 * The note before which each mark is written: one that begins with it, in the first voice that has such a note;
 * else the note that sounds in the first voice, with an offset.
 */
function placeMarks(marks: readonly Mark[], laid: LaidBar): Map<LaidNote, Element[]> {
  const out = new Map<LaidNote, Element[]>();
  for (const mark of marks) {
    const at = mark.onset - laid.bar.start;
    const starts = laid.voices.flatMap((voice) => voice.notes.find((note) => note.start === at) ?? []);
    const first = laid.voices[0] as LaidVoice;
    const note = starts[0] ?? first.notes.findLast((n) => n.start <= at) ?? (first.notes[0] as LaidNote);
    out.set(note, [...(out.get(note) ?? []), mark.element(at - note.start)]);
  }
  return out;
}

function voiceElements(
  { voice, notes }: LaidVoice,
  bar: number,
  placed: ReadonlyMap<LaidNote, readonly Element[]>,
  context: Context,
): Element[] {
  return notes.flatMap((note, i) => {
    const out = [...(placed.get(note) ?? [])];
    const { event } = note;
    if (event === null) return [...out, restElement(note, voice)];
    event.heads.forEach((head, h) => {
      const base = context.xmlId(head.id);
      out.push(
        headElement(note, voice, {
          id: note.part === 0 ? base : context.xmlId(`${base}.t${note.part}`),
          pitch: head.pitch,
          first: h === 0,
          accidental: context.layout.accidentals.get(headKey(bar, voice, i, h)),
          loudness: loudness(head, event, context),
          ring: head.ring,
          notationsId:
            event.kind === 'tremble' && h === 0 && note.part === 0
              ? context.xmlId(`tremble ${event.of}.${event.hand}`)
              : null,
          notations: headNotations(head, event, note, h, context),
        }),
      );
    });
    if (event.goal !== null && !note.tiedTo) {
      const number = context.sweeps.get(event.of ?? '') ?? 1;
      out.push(
        goalElement(note, voice, {
          id: context.xmlId(event.goal.id),
          pitch: event.goal.pitch,
          accidental: context.layout.accidentals.get(headKey(bar, voice, i, 'g')),
          line: glissando('stop', number),
        }),
      );
    }
    return out;
  });
}

function loudness(head: Head, event: VoicedEvent, context: Context): string | null {
  if (context.dynamics.standing(event.hand, event.onset) === head.dynamic) return null;
  return ((VELOCITIES[head.dynamic] * 100) / FORTE_VELOCITY).toFixed(2);
}

function headNotations(
  head: Head,
  event: VoicedEvent,
  note: LaidNote,
  index: number,
  context: Context,
): Element[] {
  const out: Element[] = [];
  if (event.kind === 'tremble' && index === 0) {
    out.push(el('ornaments', {}, text('tremolo', 3, { type: 'single' })));
  }
  if (note.part > 0) return out;
  if (event.kind === 'sweep') out.push(glissando('start', context.sweeps.get(event.of ?? '') ?? 1));
  const marks = technical(head, context.fingering);
  if (marks !== null) out.push(marks);
  const roll = context.rolls.get(head.id);
  if (roll !== undefined && event.kind === 'pluck') out.push(roll);
  return out;
}
