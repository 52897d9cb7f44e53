/** A MIDI file as a passage: quantized, spelt by its key, hands by track. */

import { type MidiData, type MidiEvent, parseMidi } from 'midi-file';
import { type Result, ok } from '../base/result';
import { type Ticks, TICKS_PER_QUARTER, ticks } from '../base/units';
import { type Bar, type Metre, barTicks } from '../music/metre';
import type { Dynamic, Hand, KeyChange, Pluck } from '../music/passage';
import { type Letter, type Pitch, harpSpellings, midiOf } from '../music/pitch';
import type { TempoChange } from '../music/tempo';
import { VELOCITIES } from '../harp/performance';
import { type Position } from '../harp/setting';
import { parseSetting } from '../harp/setting-text';
import { checkMidi } from './midi/chunks';
import { beatGrid } from './midi/grid';
import { spelledByPedals } from './midi/pedal-spelling';
import { sustainSpans } from './midi/sustain';
import type { ReadOptions, ReadPart, WrittenPedals } from './musicxml-read';
import { UnreadList } from './musicxml/read/unread';
import { fileProblem, tooManyNotes } from './problems';

interface KeyStroke {
  readonly track: number;
  readonly channel: number;
  readonly key: number;
  readonly velocity: number;
  readonly from: number;
  readonly to: number;
}

type Placed = MidiEvent & { readonly at: number };

const FIFTHS: Readonly<Record<Letter, number>> = { F: -1, C: 0, G: 1, D: 2, A: 3, E: 4, B: 5 };

/** The spelling nearest to the key on the line of fifths; ties go to the flat, which rings fuller. */
function spell(key: number, fifths: number): Pitch | null {
  const far = (p: Pitch) => Math.abs(FIFTHS[p.letter] + 7 * p.alter - fifths - 2);
  const spellings = harpSpellings(key).sort((a, b) => far(a) - far(b) || a.alter - b.alter);
  return spellings[0] ?? null;
}

const dynamicOf = (velocity: number): Dynamic =>
  (Object.entries(VELOCITIES) as [Dynamic, number][]).reduce((a, b) =>
    Math.abs(b[1] - velocity) < Math.abs(a[1] - velocity) ? b : a,
  )[0];

/** Events with absolute ticks of ours. */
function placed(data: MidiData, scale: number): Placed[][] {
  return data.tracks.map((track) => {
    let at = 0;
    return track.map((event) => {
      at += event.deltaTime;
      return { ...event, at: at * scale };
    });
  });
}

function strokesOf(tracks: readonly Placed[][]): KeyStroke[] {
  const out: KeyStroke[] = [];
  tracks.forEach((events, track) => {
    const down = new Map<number, { velocity: number; from: number }[]>();
    for (const event of events) {
      if (event.type !== 'noteOn' && event.type !== 'noteOff') continue;
      const { channel, noteNumber: key } = event;
      const id = channel * 128 + key;
      const held = down.get(id) ?? [];
      down.set(id, held);
      if (event.type === 'noteOn' && event.velocity > 0) {
        held.push({ velocity: event.velocity, from: event.at });
        continue;
      }
      const first = held.shift();
      if (first !== undefined) out.push({ track, channel, key, ...first, to: event.at });
    }
    const end = events.at(-1)?.at ?? 0;
    for (const [id, held] of down) {
      for (const open of held) out.push({ track, channel: id >> 7, key: id % 128, ...open, to: end });
    }
  });
  return out;
}

/** Tracks to read: those whose name holds the name asked for, else those that play a harp, else all. */
function chosenTracks(
  tracks: readonly Placed[][],
  names: readonly string[],
  wanted: string | undefined,
): Result<ReadonlySet<number>> {
  const all = [...tracks.keys()];
  if (wanted !== undefined) {
    const text = wanted.trim().toLowerCase();
    const named = all.filter((i) => names[i]?.toLowerCase().includes(text) || String(i + 1) === text);
    if (named.length === 0)
      return fileProblem('part-missing', wanted, names.filter((n) => n !== '').join(', '));
    return ok(new Set(named));
  }
  const harp = all.filter(
    (i) =>
      /harp|arpa|harfe/i.test(names[i] ?? '') ||
      tracks[i]?.some((event) => event.type === 'programChange' && event.programNumber === 46),
  );
  return ok(new Set(harp.length > 0 ? harp : all));
}

/** Hands by the names of two tracks, else by height where exactly two tracks play; null where neither helps. */
function handsOf(strokes: readonly KeyStroke[], names: readonly string[]): Map<number, Hand> | null {
  const playing = [...new Set(strokes.map((s) => s.track))];
  const byName = new Map<number, Hand>();
  for (const track of playing) {
    const name = names[track] ?? '';
    if (/right|\br\.?h\b|m\.?d\.|droite|destra|rechts/i.test(name)) byName.set(track, 'R');
    else if (/left|\bl\.?h\b|m\.?g\.|m\.?s\.|gauche|sinistra|links/i.test(name)) byName.set(track, 'L');
  }
  if (playing.length > 0 && byName.size === playing.length) return byName;
  if (playing.length !== 2) return null;
  const height = (track: number) => {
    const own = strokes.filter((s) => s.track === track);
    return own.reduce((sum, s) => sum + s.key, 0) / own.length;
  };
  const [a, b] = playing as [number, number];
  return height(a) >= height(b)
    ? new Map<number, Hand>([
        [a, 'R'],
        [b, 'L'],
      ])
    : new Map<number, Hand>([
        [a, 'L'],
        [b, 'R'],
      ]);
}

function barsOf(metres: readonly { at: number; metre: Metre }[], end: number): Bar[] {
  const bars: Bar[] = [];
  let metre: Metre = { beats: 4, unit: 4 };
  let start = 0;
  let passed = 0;
  do {
    for (let change = metres[passed]; change !== undefined && change.at <= start; change = metres[++passed])
      metre = change.metre;
    // A metre that changes inside a bar ends that bar.
    const next = metres[passed]?.at ?? Infinity;
    const length = Math.min(barTicks(metre), next - start);
    bars.push({
      index: bars.length,
      number: String(bars.length + 1),
      start: ticks(start),
      length: ticks(length),
      metre,
    });
    start += length;
  } while (start < end && bars.length < 20_000);
  return bars;
}

function pedalsOf(events: readonly Placed[]): WrittenPedals {
  const settings: { onset: Ticks; setting: number }[] = [];
  const moves: { onset: Ticks; letter: Letter; to: Position }[] = [];
  for (const event of events) {
    if (event.type !== 'marker') continue;
    const onset = ticks(Math.round(event.at));
    const all = /^Pedals (.+)$/.exec(event.text)?.[1];
    const setting = all === undefined ? null : parseSetting(all);
    if (setting?.ok === true) settings.push({ onset, setting: setting.value });
    const move = /^Pedal ([A-G])(b|#| natural)$/.exec(event.text);
    if (move !== null) {
      const to = move[2] === 'b' ? -1 : move[2] === '#' ? 1 : 0;
      moves.push({ onset, letter: move[1] as Letter, to });
    }
  }
  return { settings, moves };
}

/**
 * Reads formats 0 and 1, tempo and metre from any track. Onsets are quantized to 32nds and sextuplets; spelling
 * follows the pedals where they are marked, else the key, and every note may be respelt. Our own pedal markers are understood; the sustaining pedal
 * (controller 64) is read.
 */
export function readMidi(bytes: Uint8Array, options: ReadOptions = {}): Result<ReadPart> {
  if (bytes.byteLength === 0) return fileProblem('file-empty', 0, 'a file with music');
  const form = checkMidi(bytes);
  if (!form.ok) return form;
  let data: MidiData;
  try {
    data = parseMidi(bytes);
  } catch (error) {
    return fileProblem('midi-broken', String((error as Error | string) ?? ''), 'a whole Standard MIDI File');
  }
  const tracks = placed(data, TICKS_PER_QUARTER / form.value.perQuarter);
  const names = tracks.map((events) => {
    const named = events.find((event) => event.type === 'trackName');
    return named?.type === 'trackName' ? named.text : '';
  });
  const chosen = chosenTracks(tracks, names, options.part);
  if (!chosen.ok) return chosen;
  const events = tracks.flat().sort((a, b) => a.at - b.at);
  const unread = new UnreadList();
  const tempo: TempoChange[] = [];
  const metres: { at: number; metre: Metre }[] = [];
  let fifths: number | null = null;
  const keys: KeyChange[] = [];
  for (const event of events) {
    if (event.type === 'setTempo' && event.microsecondsPerBeat > 0) {
      const milliBpm = Math.max(1000, Math.round(60_000_000_000 / event.microsecondsPerBeat));
      const onset = ticks(Math.round(event.at));
      if (tempo.at(-1)?.onset === onset) tempo.pop();
      if (tempo.at(-1)?.milliBpm !== milliBpm) tempo.push({ onset, milliBpm });
    } else if (
      event.type === 'timeSignature' &&
      event.numerator > 0 &&
      [1, 2, 4, 8, 16, 32].includes(event.denominator)
    ) {
      metres.push({ at: Math.round(event.at), metre: { beats: event.numerator, unit: event.denominator } });
    } else if (event.type === 'keySignature') {
      const key = Math.max(-7, Math.min(7, event.key));
      if (fifths === null && event.at === 0) fifths = key;
      else if ((keys.at(-1)?.fifths ?? fifths ?? 0) !== key)
        keys.push({ onset: ticks(Math.round(event.at)), fifths: key });
    } else if (event.type === 'pitchBend' && event.value !== 0) unread.add('pitch bend', '');
  }
  const drums = 9;
  const struck = strokesOf(tracks).filter((s) => chosen.value.has(s.track));
  const all = struck.filter((s) => s.channel !== drums);
  const large = tooManyNotes(struck.length);
  if (large !== null) return large;
  // Of a score the drums are no part of what was asked for; drums alone are a percussion part.
  if (all.length === 0) struck.forEach(() => unread.add('note', '1', 'unpitched'));
  // Format 0 keeps all in one track: there the channels tell the hands apart.
  const single = tracks.length === 1;
  const strokes = (single ? all.map((s) => ({ ...s, track: s.channel })) : all).sort(
    (a, b) => a.from - b.from,
  );
  const hands = handsOf(strokes, single ? [] : names);
  const grid = beatGrid(strokes.map((stroke) => stroke.from));
  const plucks: Pluck[] = [];
  let fifthsHere = fifths ?? 0;
  let passed = 0;
  for (const stroke of strokes) {
    for (let key = keys[passed]; key !== undefined && key.onset <= stroke.from; key = keys[++passed])
      fifthsHere = key.fifths;
    const pitch = spell(stroke.key, fifthsHere);
    if (pitch === null) continue;
    const onset = grid(stroke.from);
    plucks.push({
      id: `k${plucks.length + 1}`,
      onset: ticks(onset),
      duration: ticks(Math.max(105, grid(stroke.to) - onset)),
      pitch,
      hand: hands?.get(stroke.track) ?? null,
      finger: null,
      technique: 'ordinary',
      dynamic: dynamicOf(stroke.velocity),
    });
  }
  plucks.sort((a, b) => a.onset - b.onset || midiOf(a.pitch) - midiOf(b.pitch));
  const markings = pedalsOf(events);
  const own = [...chosen.value].flatMap((i) => tracks[i] ?? []).sort((a, b) => a.at - b.at);
  const sustain = sustainSpans(own, grid);
  const end = plucks.reduce((last, p) => Math.max(last, p.onset + p.duration), 0);
  const partName = [...chosen.value].map((i) => names[i] ?? '').find((name) => name !== '') ?? '';
  return ok({
    passage: {
      title: names[0] ?? '',
      bars: barsOf(metres, end),
      tempo,
      fifths: fifths ?? 0,
      ...(keys.length === 0 ? {} : { keys }),
      plucks: spelledByPedals(plucks, markings),
      rolls: [],
      sweeps: [],
      trembles: [],
      chords: [],
      damps: [],
      ...(sustain.length === 0 ? {} : { sustain }),
    },
    markings,
    partName,
    tempoGiven: tempo.length > 0,
    handsGiven: hands !== null,
    unread: unread.list(),
    sources: new Map(),
  });
}
