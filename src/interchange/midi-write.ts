/** A planned passage as a Standard MIDI File, format 1: tempo map, metre, key, right hand, left hand. */

import { type MidiEvent, writeMidi as writeMidiFile } from 'midi-file';
import { type Ticks, TICKS_PER_QUARTER, ticks } from '../base/units';
import { isCompound } from '../music/metre';
import type { Hand, Slide } from '../music/passage';
import { midiOf } from '../music/pitch';
import { DEFAULT_MILLI_BPM } from '../music/tempo';
import { type PlayedNote, perform } from '../harp/performance';
import type { PlannedPassage } from '../harp/planned';
import { PEDALS, positionOf } from '../harp/setting';

/** General MIDI's orchestral harp, counted from 0. */
const HARP_PROGRAM = 46;

type Timed = { readonly at: number; readonly order: number; readonly event: MidiEvent };

const SIGNS: Readonly<Record<string, string>> = { '-1': 'b', '0': '', '1': '#' };

/** Text in MIDI is one byte a character: what is not ASCII is spelt out or left out. */
const ascii = (text: string): string =>
  text
    .replace(/♭/g, 'b')
    .replace(/♯/g, '#')
    .replace(/♮/g, '')
    .replace(/Δ/g, 'maj')
    .replace(/ø/g, 'm7b5')
    .replace(/[°º]/g, 'dim')
    .replace(/[–—−]/g, '-')
    .normalize('NFD')
    .replace(/[^\x20-\x7e]/g, '');

/** Events in order of time as a track with delta times. */
function track(events: readonly Timed[], end: number): MidiEvent[] {
  const sorted = [...events].sort((a, b) => a.at - b.at || a.order - b.order);
  let now = 0;
  const out = sorted.map(({ at, event }) => {
    const deltaTime = at - now;
    now = at;
    return { ...event, deltaTime };
  });
  return [...out, { deltaTime: Math.max(0, end - now), meta: true, type: 'endOfTrack' }];
}

const meta = (at: number, order: number, event: Record<string, unknown>): Timed => ({
  at,
  order,
  event: { deltaTime: 0, meta: true, ...event } as MidiEvent,
});

function conductor(planned: PlannedPassage): Timed[] {
  const { passage } = planned;
  const out: Timed[] = [meta(0, 0, { type: 'trackName', text: ascii(passage.title) || 'Harp' })];
  const keys = [{ onset: 0, fifths: passage.fifths }, ...(passage.keys ?? [])];
  for (const { onset, fifths } of keys)
    out.push(meta(onset, 1, { type: 'keySignature', key: fifths, scale: 0 }));
  let metre = '';
  const bars = passage.bars.length > 0 ? passage.bars : [{ start: 0 as Ticks, metre: { beats: 4, unit: 4 } }];
  for (const bar of bars) {
    const { beats, unit } = bar.metre;
    const name = `${beats}/${unit}`;
    if (name === metre) continue;
    metre = name;
    // The click in MIDI clocks, 24 to the quarter: a dotted quarter in 6/8.
    const metronome = Math.min(255, ((24 * 4) / unit) * (isCompound(bar.metre) ? 3 : 1));
    out.push(
      meta(bar.start, 2, {
        type: 'timeSignature',
        numerator: beats,
        denominator: unit,
        metronome,
        thirtyseconds: 8,
      }),
    );
  }
  const tempo =
    passage.tempo[0]?.onset === 0
      ? passage.tempo
      : [{ onset: 0 as Ticks, milliBpm: DEFAULT_MILLI_BPM }, ...passage.tempo];
  for (const { onset, milliBpm } of tempo) {
    // Microseconds to the quarter, in the three bytes that the format has.
    const microsecondsPerBeat = Math.max(1, Math.min(0xffffff, Math.round(60_000_000_000 / milliBpm)));
    out.push(meta(onset, 3, { type: 'setTempo', microsecondsPerBeat }));
  }
  for (const chord of passage.chords)
    out.push(meta(chord.onset, 5, { type: 'marker', text: ascii(chord.text) }));
  const opening = PEDALS.map((letter) => letter + SIGNS[positionOf(planned.start, letter)]).join(' ');
  out.push(meta(0, 4, { type: 'marker', text: `Pedals ${opening}` }));
  for (const move of planned.moves) {
    out.push(
      meta(move.onset, 4, { type: 'marker', text: `Pedal ${move.letter}${SIGNS[move.to] || ' natural'}` }),
    );
  }
  return out;
}

/** Note events of one hand. A key that is struck again before its end is let go first. */
function handEvents(notes: readonly PlayedNote[], channel: number): Timed[] {
  const out: Timed[] = [];
  const nextStart = new Map<number, number>();
  for (let i = notes.length - 1; i >= 0; i--) {
    const note = notes[i] as PlayedNote;
    if (note.midi < 0 || note.midi > 127) continue;
    const limit = nextStart.get(note.midi) ?? Infinity;
    const end = Math.min(note.tick + note.duration, limit);
    nextStart.set(note.midi, Math.min(limit, note.tick));
    // The same key twice at one instant, from two strings at one pitch, is one note of MIDI.
    if (end <= note.tick) continue;
    const key = { channel, noteNumber: note.midi };
    out.push({
      at: note.tick,
      order: 9,
      event: { deltaTime: 0, type: 'noteOn', ...key, velocity: note.velocity },
    });
    out.push({ at: end, order: 8, event: { deltaTime: 0, type: 'noteOff', ...key, velocity: 64 } });
  }
  return out;
}

export interface MidiOptions {
  /**
   * Pedal slides are heard as pitch bend: the note that slides gets a channel of its own, on its hand's track, and
   * sounds on to the slide and a quarter beyond. Left out unless asked for: the note keeps its first pitch.
   */
  readonly bends?: boolean;
  /** `played`, the usual: rolls, sweeps and trembles as they are played. `written`: struck together, sweeps as their ends. */
  readonly as?: 'played' | 'written';
}

/** Channels for notes that bend: those that neither hand nor drums have. */
const BEND_CHANNELS = [2, 3, 4, 5, 6, 7, 8, 10, 11, 12, 13, 14, 15];
/** General MIDI's bend reaches two semitones each way: 8,192 steps, of which the last upward one is not there. */
const BEND_STEPS = 4096;
const bendValue = (semitones: number): number => Math.max(-8192, Math.min(8191, semitones * BEND_STEPS));

/** Takes the notes that slide out of the others, each on a channel that is free while it sounds. */
function bent(
  planned: PlannedPassage,
  notes: readonly PlayedNote[],
): { rest: PlayedNote[]; events: Map<PlayedNote, Timed[]> } {
  const slides = new Map<string, Slide[]>();
  for (const slide of planned.passage.slides ?? []) {
    slides.set(slide.pluck, [...(slides.get(slide.pluck) ?? []), slide]);
  }
  const free = BEND_CHANNELS.map(() => 0);
  const events = new Map<PlayedNote, Timed[]>();
  const rest: PlayedNote[] = [];
  for (const note of notes) {
    const own = (slides.get(note.from) ?? []).filter((slide) => slide.onset > note.tick);
    const last = own.reduce((most, slide) => Math.max(most, slide.onset), 0);
    const place = free.findIndex((until) => until <= note.tick);
    if (own.length === 0 || place < 0) {
      rest.push(note);
      continue;
    }
    const end = Math.max(note.tick + note.duration, last + TICKS_PER_QUARTER);
    free[place] = end;
    const channel = BEND_CHANNELS[place] as number;
    const bend = (at: number, semitones: number): Timed => ({
      at,
      order: 7,
      event: { deltaTime: 0, type: 'pitchBend', channel, value: bendValue(semitones) },
    });
    const octave = note.technique === 'harmonic' ? 12 : 0;
    events.set(note, [
      {
        at: note.tick,
        order: 6,
        event: { deltaTime: 0, type: 'programChange', channel, programNumber: HARP_PROGRAM },
      },
      bend(note.tick, 0),
      ...own.map((slide) => bend(slide.onset, midiOf(slide.to) + octave - note.midi)),
      ...handEvents([{ ...note, duration: ticks(end - note.tick) }], channel),
      { ...bend(end, 0), order: 8.5 },
    ]);
  }
  return { rest, events };
}

/** The passage as it is written: every pluck at its onset, a sweep as its first and last string, a tremble as a chord. */
function written(planned: PlannedPassage): PlayedNote[] {
  const { passage } = planned;
  const plucks = perform({ ...planned, passage: { ...passage, rolls: [], sweeps: [], trembles: [] } });
  const held = perform(planned).filter((note, i, all) => {
    if (note.kind === 'pluck') return false;
    const first = all.findIndex((other) => other.from === note.from) === i;
    const last = note.kind === 'sweep' && all.findLastIndex((other) => other.from === note.from) === i;
    return first || last;
  });
  const lengths = new Map<string, { onset: Ticks; duration: Ticks }>();
  for (const sweep of passage.sweeps) lengths.set(sweep.id, sweep);
  for (const tremble of passage.trembles) for (const note of tremble.notes) lengths.set(note.id, tremble);
  const asHeld = held.map((note): PlayedNote => {
    const span = lengths.get(note.from);
    if (span === undefined || (note.tick !== span.onset && note.kind === 'sweep')) return note;
    return { ...note, tick: span.onset, duration: span.duration };
  });
  return [...plucks, ...asHeld].sort((a, b) => a.tick - b.tick || a.midi - b.midi);
}

/**
 * The file's bytes; the same passage gives the same bytes. Sweeps, rolls and trembles are written as they are
 * played (`perform`), harmonics at sounding pitch. Chords and pedal moves are markers in ASCII. Notes without a
 * hand go to the right hand's track from middle C up.
 */
export function writeMidi(
  planned: PlannedPassage,
  performance?: readonly PlayedNote[],
  options: MidiOptions = {},
): Uint8Array {
  const played = performance ?? (options.as === 'written' ? written(planned) : perform(planned));
  const { rest, events } =
    options.bends === true ? bent(planned, played) : { rest: played, events: new Map<PlayedNote, Timed[]>() };
  const { bars } = planned.passage;
  const last = bars.at(-1);
  const ends = [...events.values()].flat().map((timed) => timed.at);
  const close = played.reduce(
    (end, note) => Math.max(end, note.tick + note.duration),
    Math.max(0, last === undefined ? 0 : last.start + last.length, ...ends),
  );
  const hand = (note: PlayedNote): Hand => note.hand ?? (note.midi >= 60 ? 'R' : 'L');
  const tracks = [track(conductor(planned), close)];
  for (const [channel, side, name] of [
    [0, 'R', 'Harp right hand'],
    [1, 'L', 'Harp left hand'],
  ] as const) {
    const notes = rest.filter((note) => hand(note) === side);
    const sliding = [...events].filter(([note]) => hand(note) === side).flatMap(([, own]) => own);
    tracks.push(
      track(
        [
          meta(0, 0, { type: 'trackName', text: name }),
          {
            at: 0,
            order: 1,
            event: { deltaTime: 0, type: 'programChange', channel, programNumber: HARP_PROGRAM },
          },
          ...handEvents(notes, channel),
          ...sliding,
        ],
        close,
      ),
    );
  }
  return Uint8Array.from(
    writeMidiFile({
      header: { format: 1, numTracks: tracks.length, ticksPerBeat: TICKS_PER_QUARTER },
      tracks,
    }),
  );
}
