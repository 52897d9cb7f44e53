/** The printed bars: every voice of every bar as notes and rests with values, ties, staves and beams. */

import { type Ticks, ticks } from '../../../base/units';
import { type Bar, type Metre, barAt } from '../../../music/metre';
import type { PlannedPassage } from '../../../harp/planned';
import type { PrintedAccidental } from './accidentals';
import { joinHands } from './across';
import { beams } from './beams';
import { giveClefs } from './clefs';
import { printEvents } from './events';
import { type Span, barTree, feltBeats } from './metre-tree';
import type { LaidBar, LaidNote, LaidVoice } from './laid';
import type { MusicXmlOptions } from './options';
import { beamCount } from './values';
import { type Fill, type Printed, printVoice } from './rhythm';
import { type ClefOf, type Staff, giveStaves } from './staves';
import { accidentalsOf, signatures } from './signs';
import { type VoicedEvent, giveVoices } from './voices';

export interface Layout {
  readonly bars: readonly LaidBar[];
  readonly events: readonly VoicedEvent[];
  readonly staffOf: (event: VoicedEvent) => Staff;
  readonly clefOf: ClefOf;
  /** The key signature of a bar, by index. */
  readonly fifthsOf: (bar: number) => number;
  /** Keys: bar index, voice, place in the voice, head index ('g0', 'g1' … for the small notes after it). */
  readonly accidentals: ReadonlyMap<string, PrintedAccidental>;
}

/** The passage's bars, with more of the last kind where events go on after them; one bar at least. */
function coveringBars(bars: readonly Bar[], end: Ticks): Bar[] {
  const out = [...bars];
  const metre: Metre = bars.at(-1)?.metre ?? { beats: 4, unit: 4 };
  const length = ticks((13440 * metre.beats) / metre.unit);
  for (;;) {
    const last = out.at(-1);
    const start = ticks(last === undefined ? 0 : last.start + last.length);
    if (last !== undefined && start >= end) return out;
    const number = String((Number.parseInt(last?.number ?? '0', 10) || out.length) + 1);
    out.push({ index: out.length, number, start, length, metre });
  }
}

/**
 * Onsets and ends finer than every tuplet in use are moved to the nearest 1/96 of a quarter, counted from their bar's
 * start: a bar before may be of any length.
 */
function onGrid(bars: readonly Bar[], at: Ticks): Ticks {
  const start = bars.length === 0 ? 0 : barAt(bars, at).start;
  const inBar = at - start;
  if ([105, 35, 21, 15].some((unit) => inBar % unit === 0)) return at;
  return ticks(start + Math.round(inBar / 35) * 35);
}

function beatOf(bar: Bar, at: number): number {
  let end = 0;
  const beats = feltBeats(bar.metre, bar.length);
  for (const [i, beat] of beats.entries()) {
    end += beat;
    if (at < end) return i;
  }
  return beats.length - 1;
}

/** Fills of one voice in one bar, rests between. */
function fillsOf(events: readonly VoicedEvent[], bar: Bar): Fill<VoicedEvent>[] {
  const out: Fill<VoicedEvent>[] = [];
  let at = 0;
  for (const event of events) {
    const start = Math.max(0, event.onset - bar.start);
    const end = Math.min(bar.length, event.end - bar.start);
    if (start > at) out.push({ start: at, end: start, event: null });
    out.push({ start, end, event });
    at = end;
  }
  if (at < bar.length) out.push({ start: at, end: bar.length, event: null });
  return out;
}

/** Lays out a whole planned passage. */
export function layOut(planned: PlannedPassage, options: MusicXmlOptions = {}): Layout {
  const gridded = printEvents(planned, options.glissandoStart).map((event) => {
    const { bars: own } = planned.passage;
    const onset = onGrid(own, event.onset);
    return { ...event, onset, end: ticks(Math.max(onset + 15, onGrid(own, event.end))) };
  });
  const reach = ticks(gridded.reduce((end, event) => Math.max(end, event.end), 0));
  const bars = coveringBars(planned.passage.bars, reach);
  const voiced = giveVoices(gridded);
  const events = options.acrossBeams === true ? joinHands(voiced, bars) : voiced;
  const clefOf = giveClefs(events, bars);
  const staves = giveStaves(
    events,
    (event) => {
      const bar = barAt(bars, event.onset);
      const beat = beatOf(bar, event.onset - bar.start);
      return { bar: bar.index, key: event.end - event.onset >= 3360 ? `${event.onset}` : `beat ${beat}` };
    },
    clefOf,
  );
  const staffOf = (event: VoicedEvent): Staff => staves.get(event) ?? (event.hand === 'R' ? 1 : 2);
  const fifthsOf = signatures(planned, bars, events, options.key === 'harp');
  const inBar: Map<number, VoicedEvent[]>[] = bars.map(() => new Map());
  const place = new Map(bars.map((bar, i) => [bar, i]));
  for (const event of events) {
    for (let i = place.get(barAt(bars, event.onset)) ?? 0; i < bars.length; i++) {
      if ((bars[i] as Bar).start >= event.end) break;
      const voices = inBar[i] as Map<number, VoicedEvent[]>;
      voices.set(event.voice, [...(voices.get(event.voice) ?? []), event]);
    }
  }
  const parts = new Map<VoicedEvent, number>();
  const trees = new Map<string, Span>();
  const laid = bars.map((bar, i): LaidBar => {
    const key = `${bar.metre.beats}/${bar.metre.unit} ${bar.length}`;
    const tree = trees.get(key) ?? barTree(bar.metre, bar.length);
    trees.set(key, tree);
    return layBar(bar, tree, inBar[i] as Map<number, VoicedEvent[]>, staffOf, parts);
  });
  const accidentals = accidentalsOf(laid, fifthsOf, options.courtesies ?? true);
  return { bars: laid, events, staffOf, clefOf, fifthsOf, accidentals };
}

/** A bar with the fewest voices: 1 and 5 always, others where they have notes, and a rest for an empty staff. */
function layBar(
  bar: Bar,
  tree: Span,
  byVoice: ReadonlyMap<number, VoicedEvent[]>,
  staffOf: (event: VoicedEvent) => Staff,
  parts: Map<VoicedEvent, number>,
): LaidBar {
  const numbers = [...new Set([1, 5, ...byVoice.keys()])].sort((a, b) => a - b);
  const busy = new Map<Staff, Set<number>>([
    [1, new Set()],
    [2, new Set()],
  ]);
  for (const [voice, events] of byVoice) for (const event of events) busy.get(staffOf(event))?.add(voice);
  const voices = numbers.map((voice) =>
    layVoice(bar, tree, voice, byVoice.get(voice) ?? [], staffOf, parts, busy),
  );
  hideCoveredRests(voices);
  const shows = (staff: Staff) =>
    voices.some((voice) => voice.notes.some((note) => note.staff === staff && !note.hidden));
  for (const staff of [1, 2] as const) {
    if (shows(staff)) continue;
    const range = staff === 1 ? [4, 3, 2] : [8, 7, 6];
    const voice = range.find((number) => !numbers.includes(number));
    if (voice === undefined) continue;
    voices.push({ voice, notes: [wholeBarRest(bar, staff, false)] });
  }
  voices.sort((a, b) => a.voice - b.voice);
  return { bar, voices };
}

/** A rest is hidden where other voices sound on its staff all the while: nobody needs to count it. */
function hideCoveredRests(voices: LaidVoice[]): void {
  const sounding = voices.flatMap((voice) => voice.notes.filter((note) => note.event !== null));
  voices.forEach((voice, i) => {
    const notes = voice.notes.map((note) => {
      // Inside a tuplet every member is shown.
      if (note.event !== null || note.hidden || note.wholeBar || note.tuplet !== null) return note;
      const others = sounding.filter((other) => other.staff === note.staff).sort((a, b) => a.start - b.start);
      let at = note.start;
      for (const other of others) if (other.start <= at) at = Math.max(at, other.end);
      return at >= note.end ? { ...note, hidden: true } : note;
    });
    voices[i] = { ...voice, notes };
  });
}

function wholeBarRest(bar: Bar, staff: Staff, hidden: boolean): LaidNote {
  return {
    start: 0,
    end: bar.length,
    event: null,
    value: { type: 'whole', dots: 0 },
    tuplet: null,
    staff,
    tiedFrom: false,
    tiedTo: false,
    part: 0,
    beams: [],
    stem: null,
    hidden,
    wholeBar: true,
  };
}

function layVoice(
  bar: Bar,
  tree: Span,
  voice: number,
  events: readonly VoicedEvent[],
  staffOf: (event: VoicedEvent) => Staff,
  parts: Map<VoicedEvent, number>,
  busy: ReadonlyMap<Staff, ReadonlySet<number>>,
): LaidVoice {
  const own: Staff = voice < 5 ? 1 : 2;
  const primary = voice === 1 || voice === 5;
  // A bar's rest of a silent hand is hidden where the other hand has taken its staff.
  if (events.length === 0) return { voice, notes: [wholeBarRest(bar, own, (busy.get(own)?.size ?? 0) > 0)] };
  const printed = printVoice(tree, fillsOf(events, bar));
  const staves = printed.map((note) => (note.event === null ? own : staffOf(note.event)));
  const paired = pairedBeats(bar, printed);
  const beamed = beams(
    printed.map((note) => {
      const beat = beatOf(bar, note.start);
      const wide = note.tuplet !== null && note.tuplet.length > (feltBeats(bar.metre, bar.length)[beat] ?? 0);
      const group = wide ? `t${note.tuplet?.id}` : `b${paired(beat) ? beat - (beat % 2) : beat}`;
      return {
        type: note.value.type,
        group: note.event === null ? null : group,
        ...(note.event?.across === true ? { place: note.event.hand } : {}),
      };
    }),
  );
  const crossing = crossingBeams(beamed, staves);
  const notes = printed.map((note, i): LaidNote => {
    const here = staves[i] as Staff;
    const { event } = note;
    const part = event === null ? 0 : (parts.get(event) ?? 0);
    if (event !== null) parts.set(event, part + 1);
    const crowd = [...(busy.get(here) ?? [])].sort((a, b) => a - b);
    const crowded = crowd.length > 1 ? (crowd.indexOf(voice) % 2 === 0 ? 'up' : 'down') : null;
    return {
      ...note,
      staff: here,
      tiedFrom: part > 0,
      tiedTo: event !== null && bar.start + note.end < event.end,
      part,
      beams: beamed[i] as string[],
      stem: event === null ? null : crossing[i] ? (here === 1 ? 'down' : 'up') : crowded,
      hidden: event === null && !primary && note.tuplet === null,
      wholeBar: false,
    };
  });
  return { voice, notes };
}

/** Whether a beat shares its beam with its neighbour: one hand has the one, the other hand the other, in short notes. */
function pairedBeats(bar: Bar, printed: readonly Printed<VoicedEvent>[]): (beat: number) => boolean {
  const count = feltBeats(bar.metre, bar.length).length;
  const hand = (beat: number): string | null => {
    const own = printed.filter((note) => beatOf(bar, note.start) === beat);
    const hands = new Set(
      own.map(({ event, value }) => (event?.across && beamCount(value.type) > 0 ? event.hand : null)),
    );
    return hands.size === 1 ? ([...hands][0] ?? null) : null;
  };
  const pairs = Array.from({ length: count >> 1 }, (_, i) => {
    const [a, b] = [hand(2 * i), hand(2 * i + 1)];
    return count % 2 === 0 && a !== null && b !== null && a !== b;
  });
  return (beat) => pairs[beat >> 1] ?? false;
}

/** Which notes belong to a beam that touches both staves. */
function crossingBeams(beamed: readonly (readonly string[])[], staves: readonly Staff[]): boolean[] {
  const out = beamed.map(() => false);
  let start = 0;
  beamed.forEach((values, i) => {
    if (values[0] === 'begin') start = i;
    if (values[0] !== 'end') return;
    const run = staves.slice(start, i + 1);
    if (run.some((staff) => staff !== run[0])) out.fill(true, start, i + 1);
  });
  return out;
}
