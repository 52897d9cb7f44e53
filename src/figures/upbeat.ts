/** Upbeats: at the end of a phrase the right hand leads into the top of the next with the last beat's chord tones. */

import { type Ticks, ticks } from '../base/units';
import { stringOf } from '../harp/strings';
import { beatTicks, isCompound } from '../music/metre';
import { type Pitch, midiOf } from '../music/pitch';
import { PHRASE, type Upbeat } from './arc';
import type { Note } from './compose';
import type { Setup } from './phrase';
import type { Segment } from './segments';
import { ladder } from './spelling';

/** Notes of an upbeat in simple and in compound time: eighths of the last beat. */
const notesOf = (setup: Setup): number => (isCompound(setup.progression.metre) ? 3 : 2);

const highest = (notes: readonly Note[]): Note | undefined =>
  notes.reduce<Note | undefined>(
    (a, b) => (a === undefined || midiOf(b.pitch) > midiOf(a.pitch) ? b : a),
    undefined,
  );

/** The pitches that lead to a goal, in the order played; none where the chord has no room for them. */
function leading(setup: Setup, i: number, goal: Pitch, floor: number, way: Upbeat): Pitch[] {
  const tones = setup.voicings[i]?.rightTones ?? [];
  const count = notesOf(setup);
  const to = stringOf(goal);
  const rungs =
    way === 'rising'
      ? ladder(tones, to - 10, to - 1).slice(-count)
      : ladder(tones, to + 1, to + 10)
          .slice(0, count)
          .reverse();
  const free = rungs.length === count && rungs.every((p) => stringOf(p) > floor);
  return free ? rungs : [];
}

/** Whether a stretch ends a phrase, and the next begins one without a gap. */
const endsPhrase = (s: Segment, next: Segment): boolean =>
  next.bar > s.bar && next.bar % PHRASE === 0 && s.onset + s.duration === next.onset;

/**
 * The notes with an upbeat before each phrase after the first: in the last beat the right hand leaves its figure and
 * goes by chord tones, rising or falling, to the top note that begins the next phrase. Where a stretch has no beat to
 * spare, or the chord no tones there above the left hand, it stays as it is.
 */
export function withUpbeats(notes: readonly Note[], setup: Setup, way: Upbeat): Note[] {
  let out = [...notes];
  const beat = beatTicks(setup.progression.metre);
  setup.segments.forEach((s, i) => {
    const next = setup.segments[i + 1];
    if (next === undefined || !endsPhrase(s, next)) return;
    const from = next.onset - beat;
    if (from <= s.onset) return;
    const right = out.filter((n) => n.hand === 'R');
    const goal = highest(right.filter((n) => n.onset === next.onset));
    const before = right.filter((n) => n.onset >= s.onset && n.onset < from);
    if (goal === undefined || before.length === 0 || before.some((n) => n.technique !== 'ordinary')) return;
    const left = out.filter((n) => n.hand === 'L' && n.onset >= s.onset && n.onset < next.onset);
    const floor = Math.max(-1, ...left.map((n) => stringOf(n.pitch)));
    const pitches = leading(setup, i, goal.pitch, floor, way);
    if (pitches.length === 0) return;
    const last = before.at(-1) as Note;
    const step = beat / pitches.length;
    const cut = (n: Note): Note =>
      n.hand === 'R' && n.onset >= s.onset && n.onset < from && n.onset + n.duration > from
        ? { ...n, duration: ticks(from - n.onset) }
        : n;
    out = [
      ...out.filter((n) => !(n.hand === 'R' && n.onset >= from && n.onset < next.onset)).map(cut),
      ...pitches.map((pitch, k): Note => ({
        ...last,
        onset: ticks(from + k * step) as Ticks,
        duration: ticks(step),
        pitch,
        ring: false,
        roll: null,
      })),
    ];
  });
  return out;
}
