/** The passage as it is played: rolls, sweeps and trembles unfolded into single strings, each at its own instant. */

import { type Micros, type Ticks, micros, ticks } from '../base/units';
import type { Dynamic, Hand, Pluck, Sweep, Technique, Tremble } from '../music/passage';
import { midiOf } from '../music/pitch';
import { type TempoMap, tempoMap } from '../music/tempo';
import { type PlannedPassage, settingAt, settingStruck } from './planned';
import { type Setting, positionOf } from './setting';
import { type StringIndex, stringLetter, stringOf, stringPitch } from './strings';

/** One string struck once. */
export interface PlayedNote {
  /** Unique: the pluck's id, or `id.0`, `id.1`, … for the strings of a sweep and the strokes of a tremble's note. */
  readonly id: string;
  /** The id of the pluck, sweep or tremble note that this stroke belongs to. */
  readonly from: string;
  readonly kind: 'pluck' | 'sweep' | 'tremble';
  readonly string: StringIndex;
  /** MIDI key that sounds: a harmonic is an octave above its string. */
  readonly midi: number;
  /** When it is struck. */
  readonly onset: Micros;
  /** The latest tick not after `onset`; the written onset where nothing moved the note. */
  readonly tick: Ticks;
  /** Written length left from `tick`, at least one tick. */
  readonly duration: Ticks;
  /** End of the written length in time. The string may ring longer. */
  readonly end: Micros;
  readonly hand: Hand | null;
  readonly technique: Technique;
  readonly dynamic: Dynamic;
  /** 1 … 127. */
  readonly velocity: number;
  /** When the string falls silent, or null where it rings out. */
  readonly release: Micros | null;
  /** Why: damped at once, a damp mark, or the same string struck again. */
  readonly releasedBy: 'etouffe' | 'damp' | 'again' | null;
  /** The pedal setting in force when it is struck. */
  readonly setting?: Setting;
  /** Pedals moved while it rings, in order: each bends the sounding string. Absent where there are none. */
  readonly bends?: readonly Bend[];
  /** Level against the dynamic's own, as an amplitude ratio; 1 where absent. */
  readonly touch?: number;
}

/** A ringing string's pedal moves. */
export interface Bend {
  /** When the pedal stands anew. */
  readonly at: Micros;
  /** The new pitch in semitones from the note as it was struck, −2 … 2. */
  readonly semitones: number;
  /** True for a slide that is written: heard whole, where a pedal that moves by the way only blurs the ring. */
  readonly slide?: true;
}

/** Common practice: an unhurried roll takes about 45 ms from string to string. */
export const ROLL_GAP = 45_000;
/** Bisbigliando: strokes of the two hands together, a twelfth of a second apart (common practice). */
export const TREMBLE_GAP = 83_333;
/** An étouffé is silenced this long after its stroke (common practice). */
export const ETOUFFE_RING = 160_000;

/** MIDI velocities of the dynamics, in even steps (common practice). */
export const VELOCITIES: Readonly<Record<Dynamic, number>> = {
  ppp: 20,
  pp: 33,
  p: 46,
  mp: 60,
  mf: 75,
  f: 91,
  ff: 107,
  fff: 122,
};

type Stroke = Omit<PlayedNote, 'release' | 'releasedBy' | 'bends'>;

/**
 * Every stroke of a planned passage, sorted by instant, then from low to high.
 *
 * A roll starts on its written onset and goes on by `ROLL_GAP`, or faster where it would fill more than half of
 * the time to the next onset; `down` starts with the highest string. A sweep spreads its strings evenly over its
 * duration, the last one a step before the end, each in the setting in force at that instant. A tremble
 * alternates the hands, low to high. Times are integers, so every engine agrees.
 */
export function perform(planned: PlannedPassage): PlayedNote[] {
  const { passage } = planned;
  const map = tempoMap(passage.tempo);
  const delays = rollDelays(planned, map);
  const strokes: Stroke[] = [
    ...passage.plucks.map((pluck) => playPluck(pluck, delays.get(pluck.id) ?? 0, map)),
    ...passage.sweeps.flatMap((sweep) => playSweep(sweep, planned, map)),
    ...passage.trembles.flatMap((tremble) => playTremble(tremble, map)),
  ];
  strokes.sort((a, b) => a.onset - b.onset || a.string - b.string || (a.id < b.id ? -1 : 1));
  return withBends(withReleases(strokes, planned, map), planned, map);
}

/** Microseconds by which the plucks of rolled chords come after their written onset. */
function rollDelays(planned: PlannedPassage, map: TempoMap): Map<string, number> {
  const { passage } = planned;
  const delays = new Map<string, number>();
  if (passage.rolls.length === 0) return delays;
  const byId = new Map(passage.plucks.map((pluck) => [pluck.id, pluck]));
  const onsets = [...passage.plucks, ...passage.sweeps, ...passage.trembles]
    .map((event) => event.onset)
    .sort((a, b) => a - b);
  for (const roll of passage.rolls) {
    if (roll.direction === 'none') continue;
    const plucks = roll.plucks.flatMap((id) => byId.get(id) ?? []);
    plucks.sort((a, b) => stringOf(a.pitch) - stringOf(b.pitch));
    if (roll.direction === 'down') plucks.reverse();
    const first = plucks[0];
    if (first === undefined || plucks.length < 2) continue;
    const next = firstAfter(onsets, first.onset);
    const room = next === null ? Infinity : map.microsAt(next) - map.microsAt(first.onset);
    const gap = Math.min(ROLL_GAP, Math.floor(room / (2 * (plucks.length - 1))));
    plucks.forEach((pluck, i) => delays.set(pluck.id, i * gap));
  }
  return delays;
}

/** The first value of a sorted list after `at`, found by halving. */
function firstAfter(sorted: readonly Ticks[], at: Ticks): Ticks | null {
  let low = 0;
  let high = sorted.length;
  while (low < high) {
    const mid = (low + high) >> 1;
    if ((sorted[mid] as Ticks) > at) high = mid;
    else low = mid + 1;
  }
  return sorted[low] ?? null;
}

function playPluck(pluck: Pluck, delay: number, map: TempoMap): Stroke {
  const onset = micros(map.microsAt(pluck.onset) + delay);
  const tick = delay === 0 ? pluck.onset : map.ticksAt(onset);
  const end = ticks(pluck.onset + pluck.duration);
  return {
    id: pluck.id,
    from: pluck.id,
    kind: 'pluck',
    string: stringOf(pluck.pitch),
    midi: midiOf(pluck.pitch) + (pluck.technique === 'harmonic' ? 12 : 0),
    onset,
    tick,
    duration: ticks(Math.max(1, end - tick)),
    end: micros(Math.max(onset, map.microsAt(end))),
    hand: pluck.hand,
    technique: pluck.technique,
    dynamic: pluck.dynamic,
    velocity: VELOCITIES[pluck.dynamic],
  };
}

/** The key that a string sounds at a tick: its pedal, or for a discless string its tuning. */
export function soundingKey(planned: PlannedPassage, string: StringIndex, at: Ticks): number {
  const discless = planned.instrument.discless.includes(string);
  const position = discless
    ? (planned.tuning[string] ?? planned.instrument.disclessDefault)
    : positionOf(settingAt(planned, at), stringLetter(string));
  return midiOf(stringPitch(string, position));
}

function playSweep(sweep: Sweep, planned: PlannedPassage, map: TempoMap): Stroke[] {
  const count = Math.abs(sweep.to - sweep.from) + 1;
  const step = sweep.to < sweep.from ? -1 : 1;
  const start = map.microsAt(sweep.onset);
  const end = map.microsAt(ticks(sweep.onset + sweep.duration));
  return Array.from({ length: count }, (_, i) => {
    const string = sweep.from + step * i;
    const onset = micros(start + Math.floor(((end - start) * i) / count));
    const tick = i === 0 ? sweep.onset : map.ticksAt(onset);
    return {
      id: `${sweep.id}.${i}`,
      from: sweep.id,
      kind: 'sweep' as const,
      string,
      midi: soundingKey(planned, string, tick),
      onset,
      tick,
      duration: ticks(Math.max(1, sweep.onset + sweep.duration - tick)),
      end,
      hand: sweep.hand,
      technique: 'ordinary' as const,
      dynamic: sweep.dynamic,
      velocity: VELOCITIES[sweep.dynamic],
    };
  });
}

/** Notes of a tremble in playing order: low to high in each hand, the hands in turn, the left first. */
function alternation(tremble: Tremble): Tremble['notes'] {
  const sorted = [...tremble.notes].sort((a, b) => stringOf(a.pitch) - stringOf(b.pitch));
  const left = sorted.filter((note) => note.hand === 'L');
  const right = sorted.filter((note) => note.hand === 'R');
  const order: Tremble['notes'][number][] = [];
  for (let i = 0; i < Math.max(left.length, right.length); i++) {
    order.push(...left.slice(i, i + 1), ...right.slice(i, i + 1));
  }
  return order;
}

function playTremble(tremble: Tremble, map: TempoMap): Stroke[] {
  const order = alternation(tremble);
  const start = map.microsAt(tremble.onset);
  const end = map.microsAt(ticks(tremble.onset + tremble.duration));
  const count = Math.max(order.length, Math.floor((end - start) / TREMBLE_GAP));
  return Array.from({ length: order.length === 0 ? 0 : count }, (_, i) => {
    const note = order[i % order.length] as Tremble['notes'][number];
    const at = (k: number) => micros(start + Math.floor(((end - start) * k) / count));
    const onset = at(i);
    const tick = i === 0 ? tremble.onset : map.ticksAt(onset);
    // Each stroke lasts until its own string comes again.
    const until = at(Math.min(count, i + order.length));
    return {
      id: `${note.id}.${Math.floor(i / order.length)}`,
      from: note.id,
      kind: 'tremble' as const,
      string: stringOf(note.pitch),
      midi: midiOf(note.pitch),
      onset,
      tick,
      duration: ticks(Math.max(1, map.ticksAt(until) - tick)),
      end: until,
      hand: note.hand,
      technique: 'ordinary' as const,
      dynamic: tremble.dynamic,
      velocity: VELOCITIES[tremble.dynamic],
    };
  });
}

/** When each string falls silent: étouffé, then the first damp mark over it or stroke on it, whichever comes first. */
function withReleases(strokes: readonly Stroke[], planned: PlannedPassage, map: TempoMap): PlayedNote[] {
  const damps = planned.passage.damps
    .map((damp) => ({ at: map.microsAt(damp.onset), below: damp.below ?? Infinity }))
    .sort((a, b) => a.at - b.at);
  const nextOn = new Map<StringIndex, Micros>();
  const out: PlayedNote[] = [];
  for (let i = strokes.length - 1; i >= 0; i--) {
    const stroke = strokes[i] as Stroke;
    const damp = damps.find((d) => d.at > stroke.onset && stroke.string < d.below)?.at ?? null;
    const again = nextOn.get(stroke.string) ?? null;
    const choices: { at: Micros; by: 'etouffe' | 'damp' | 'again' }[] = [];
    if (stroke.technique === 'etouffe')
      choices.push({ at: micros(stroke.onset + ETOUFFE_RING), by: 'etouffe' });
    if (damp !== null) choices.push({ at: damp, by: 'damp' });
    if (again !== null) choices.push({ at: again, by: 'again' });
    choices.sort((a, b) => a.at - b.at);
    out.push({ ...stroke, release: choices[0]?.at ?? null, releasedBy: choices[0]?.by ?? null });
    nextOn.set(stroke.string, stroke.onset);
  }
  return out.reverse();
}

/**
 * Adds to each note its setting, the moves of its letter's pedal until it falls silent, and the slides written for it
 * (a plan has a move at a slide's instant; where it has none, the slide is heard all the same). A discless string has
 * neither.
 */
function withBends(notes: readonly PlayedNote[], planned: PlannedPassage, map: TempoMap): PlayedNote[] {
  const moves = planned.moves.map((move) => ({ ...move, at: map.microsAt(move.onset) }));
  const slides = new Map<string, { readonly at: Micros; readonly to: number }[]>();
  for (const slide of planned.passage.slides ?? [])
    slides.set(slide.pluck, [
      ...(slides.get(slide.pluck) ?? []),
      { at: map.microsAt(slide.onset), to: slide.to.alter },
    ]);
  return notes.map((note) => {
    if (planned.instrument.discless.includes(note.string)) {
      return { ...note, setting: settingAt(planned, note.tick) };
    }
    const letter = stringLetter(note.string);
    const key = note.midi - (note.technique === 'harmonic' ? 12 : 0);
    const alter = key - midiOf(stringPitch(note.string, 0));
    const setting = settingStruck(planned, note.tick, { letter, alter });
    const struck = positionOf(setting, letter);
    // A move at the note's own instant bends it where the note was struck in the old position.
    const bends = moves
      .filter((m) => m.letter === letter && m.onset >= note.tick && m.at >= note.onset)
      .filter((m) => m.onset > note.tick || (m.from === struck && m.to !== struck))
      .filter((m) => note.release === null || m.at < note.release)
      .map((m): Bend => ({ at: m.at, semitones: m.to - struck }));
    for (const { at, to } of slides.get(note.from) ?? []) {
      if (at <= note.onset || (note.release !== null && at >= note.release)) continue;
      const moved = bends.findIndex((b) => b.at === at);
      if (moved >= 0) bends.splice(moved, 1);
      bends.push({ at, semitones: to - struck, slide: true });
    }
    bends.sort((a, b) => a.at - b.at);
    return bends.length === 0 ? { ...note, setting } : { ...note, setting, bends };
  });
}
