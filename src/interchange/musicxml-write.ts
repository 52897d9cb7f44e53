/** A planned passage as a MusicXML 4.0 file: one part named Harp on two staves. */

import type { Element } from 'xast';
import { TICKS_PER_QUARTER } from '../base/units';
import { barAt } from '../music/metre';
import { VELOCITIES } from '../harp/performance';
import type { PlannedPassage } from '../harp/planned';
import type { WrittenBar } from '../music/passage';
import { foldRepeats } from './fold-repeats';
import { ASSUMED_TEMPO } from './musicxml/assumed-tempo';
import { planMarks } from './musicxml/write/directions';
import type { Head } from './musicxml/write/events';
import { type DynamicPlan, dynamicMarks, techniqueMarks } from './musicxml/write/expression';
import { handMarks } from './musicxml/write/hand-words';
import { PART_ID, header } from './musicxml/write/header';
import type { LaidBar, LaidNote, LaidVoice } from './musicxml/write/laid';
import { type Layout, layOut } from './musicxml/write/layout';
import type { Mark } from './musicxml/write/marks';
import { glissando, rollElements, slideLine, sweepNumbers, technical } from './musicxml/write/notations';
import { headElement, restElement, smallElement } from './musicxml/write/note';
import type { MusicXmlOptions } from './musicxml/write/options';
import { ottavaMarks, ottavaStretches } from './musicxml/write/ottava';
import { signsAfter, signsBefore } from './musicxml/write/repeats';
import { headKey, smallNotes } from './musicxml/write/signs';
import { restRuns } from './musicxml/write/silences';
import { goalStaff } from './musicxml/write/staves';
import type { VoicedEvent } from './musicxml/write/voices';
import { el, idMaker, printScore, text } from './musicxml/write/xml';

export type { MusicXmlOptions, PedalMarking } from './musicxml/write/options';

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
  readonly pageBreaks: ReadonlySet<number>;
  /** Length in bars of the rests that are gathered, by the index of their first bar. */
  readonly gathered: ReadonlyMap<number, number>;
  readonly signs: ReadonlyMap<number, WrittenBar>;
}

/** Rests of two bars and more are gathered; what is marked in a bar keeps it apart, what changes at it begins anew. */
function gatheredRests(
  planned: PlannedPassage,
  marks: readonly Mark[],
  signs: ReadonlyMap<number, WrittenBar>,
  options: MusicXmlOptions,
): Map<number, number> {
  if (options.multiRests !== true) return new Map();
  const { passage } = planned;
  const marked = new Set(marks.map((mark) => barAt(passage.bars, mark.onset).index));
  const begins = new Set(options.pageBreaks ?? []);
  // A repeat sign at a bar keeps it apart from the bars on both sides.
  for (const bar of signs.keys()) begins.add(bar).add(bar + 1);
  for (const key of passage.keys ?? []) begins.add(barAt(passage.bars, key.onset).index);
  passage.bars.forEach(({ metre }, i) => {
    const before = passage.bars[i - 1]?.metre ?? metre;
    if (before.beats !== metre.beats || before.unit !== metre.unit) begins.add(i);
  });
  const runs = restRuns(passage, marked, begins);
  return new Map(runs.map(({ first, count }) => [first, count]));
}

/**
 * Writes the file, repeats folded where their passes agree (`foldRepeats`). Never fails for a passage whose numbers are finite; the same passage gives the same bytes.
 * Notes carry the ids of their plucks (made safe for XML), tied continuations `id.t1`, `id.t2`, …; a sweep is its
 * first note, held, with a wavy line to a small last note; a tremble is a chord in each hand with tremolo beams.
 */
export function writeMusicXml(unfolded: PlannedPassage, options: MusicXmlOptions = {}): string {
  const { planned, signs } = foldRepeats(unfolded);
  const { passage } = planned;
  const layout = layOut(planned, options);
  const bars = layout.bars.map((laid) => laid.bar);
  const dynamics = dynamicMarks(layout.events, bars);
  const marks = [
    ...planMarks(planned, options),
    ...dynamics.marks,
    ...techniqueMarks(layout.events, bars, layout.staffOf),
    ...(options.handWords === true ? handMarks(layout.events, bars, layout.staffOf) : []),
    ...((options.ottava ?? true)
      ? ottavaMarks(
          ottavaStretches(layout.events, layout.staffOf, (event, staff) =>
            layout.clefOf(barAt(bars, event.onset).index, staff),
          ),
        )
      : []),
  ].sort((a, b) => a.onset - b.onset || a.order - b.order);
  const unique = idMaker();
  unique(ASSUMED_TEMPO);
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
    pageBreaks: new Set(options.pageBreaks ?? []),
    gathered: gatheredRests(planned, marks, signs, options),
    signs,
  };
  const measures = layout.bars.map((laid, index) => measure(laid, index, context));
  return printScore(
    el(
      'score-partwise',
      { version: '4.0' },
      ...header(passage.title, passage.composer),
      el('part', { id: PART_ID }, ...measures),
    ),
  );
}

/** What changes at a bar: key, metre, clefs, and rests that are gathered from here on. */
function attributes(laid: LaidBar, index: number, context: Context): Element | null {
  const { bars, clefOf, fifthsOf } = context.layout;
  const { beats, unit } = laid.bar.metre;
  const before = bars[index - 1]?.bar.metre;
  const newTime = before === undefined || before.beats !== beats || before.unit !== unit;
  const newKey = index === 0 || fifthsOf(index) !== fifthsOf(index - 1);
  const clefs = ([1, 2] as const).filter(
    (staff) => index === 0 || clefOf(index, staff) !== clefOf(index - 1, staff),
  );
  const rests = context.gathered.get(index);
  const children = [
    index === 0 ? text('divisions', TICKS_PER_QUARTER) : null,
    newKey ? el('key', {}, text('fifths', fifthsOf(index))) : null,
    newTime ? el('time', {}, text('beats', beats), text('beat-type', unit)) : null,
    index === 0 ? text('staves', 2) : null,
    ...clefs.map((staff) => {
      const sign = clefOf(index, staff);
      return el('clef', { number: staff }, text('sign', sign), text('line', sign === 'G' ? 2 : 4));
    }),
    rests === undefined ? null : el('measure-style', {}, text('multiple-rest', rests)),
  ];
  return children.every((child) => child === null) ? null : el('attributes', {}, ...children);
}

function measure(laid: LaidBar, index: number, context: Context): Element {
  const { bar, voices } = laid;
  const isLast = index === context.layout.bars.length - 1;
  const end = bar.start + bar.length;
  const inside = ({ onset, closes }: Mark): boolean =>
    closes === true && onset > 0
      ? onset > bar.start && onset <= end
      : onset >= bar.start && (onset < end || (isLast && onset >= end));
  const here = context.marks.filter(inside);
  const closing = here.filter((mark) => mark.closes === true && mark.onset === end);
  const placed = placeMarks(
    here.filter((mark) => !closing.includes(mark)),
    laid,
  );
  const children: (Element | null)[] = [
    context.pageBreaks.has(index) ? el('print', { 'new-page': 'yes' }) : null,
    attributes(laid, index, context),
    ...signsBefore(context.signs, index),
  ];
  voices.forEach((voice, i) => {
    if (i > 0) children.push(el('backup', {}, text('duration', bar.length)));
    children.push(...voiceElements(voice, index, placed, context));
    if (i === 0) children.push(...closing.map((mark) => mark.element(0)));
  });
  children.push(...signsAfter(context.signs, index, isLast));
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
          left: event.across && event.hand === 'L',
          notationsId:
            event.kind === 'tremble' && h === 0 && note.part === 0
              ? context.xmlId(`tremble ${event.of}.${event.hand}`)
              : null,
          notations: headNotations(head, event, note, h, context),
        }),
      );
    });
    smallNotes(note).forEach(({ id, pitch, kind }, k) => {
      out.push(
        smallElement(voice, {
          id: context.xmlId(id),
          pitch,
          accidental: context.layout.accidentals.get(headKey(bar, voice, i, `g${k}`)),
          staff: kind === 'slide' ? note.staff : goalStaff(pitch, note.staff, bar, context.layout.clefOf),
          line:
            kind === 'goal'
              ? glissando('stop', context.sweeps.get(event.of ?? '') ?? 1)
              : slideLine('stop', slideNumber(event, id)),
        }),
      );
    });
    return out;
  });
}

/** Numbers of the slides of one chord, from 1, so that lines that run together differ. */
const slideNumber = (event: VoicedEvent, slide: string): number =>
  1 +
  Math.min(
    15,
    event.slides.findIndex(({ id }) => id === slide),
  );

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
  for (const slide of event.slides) {
    if (slide.pluck === head.id) out.push(slideLine('start', slideNumber(event, slide.id)));
  }
  const marks = technical(head, context.fingering);
  if (marks !== null) out.push(marks);
  const roll = context.rolls.get(head.id);
  if (roll !== undefined && event.kind === 'pluck') out.push(roll);
  return out;
}
