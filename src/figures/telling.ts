/** The tone that tells a chord, put where a figure has missed it: an inner note that is doubled gives way to it. */

import { stringOf } from '../harp/strings';
import { type Pitch, midiOf } from '../music/pitch';
import type { Note } from './compose';
import type { Setup } from './phrase';
import type { Segment } from './segments';
import { type Tone, ladder } from './spelling';

/** How far a note moves to the telling tone, in semitones; where the line is heard, less (common practice). */
const NEAR = { inner: 7, top: 4 } as const;
/** Most strings from a hand's lowest note to its highest: a tenth. */
const TENTH = 9;
/** Above middle C a third is clearer than below. */
const MIDDLE = 60;
/** Below C3 notes closer than a fifth blur (FACTS: thin chords below C3; threshold common practice). */
const LOW = { below: 48, apart: 7 } as const;

const pcOf = (pitch: Pitch): number => midiOf(pitch) % 12;

/** The third of a chord, or what stands for it in a suspended one; null where the symbol has neither. */
function tellingTone({ chord, spelled }: Segment): Tone | null {
  const degrees = chord.quality === 'suspended' ? [4, 2] : [3];
  return spelled.tones.find((t) => degrees.includes(t.degree)) ?? null;
}

/** Points for what a chord loses with a tone: none for a root or fifth that is heard elsewhere; null: it may not go. */
function loss(pc: number, doubled: boolean, { spelled }: Segment): number | null {
  const degree = spelled.tones.find((t) => t.pc === pc)?.degree ?? 0;
  const plain = degree === 1 || degree === 5;
  if (doubled) return plain ? 0 : 20;
  return degree === 5 ? 10 : null;
}

/** Whether `to` lies in the hand as `from` did: between the same notes, within reach, clear of the other hand. */
function fits(notes: readonly Note[], moved: ReadonlyMap<Note, Pitch>): boolean {
  const at = (n: Note): Pitch => moved.get(n) ?? n.pitch;
  for (const note of moved.keys()) {
    const to = at(note);
    const struck = notes.filter((n) => n.onset === note.onset && n !== note);
    for (const other of struck) {
      const [was, is] = [
        Math.sign(stringOf(note.pitch) - stringOf(other.pitch)),
        Math.sign(stringOf(to) - stringOf(at(other))),
      ];
      if (is === 0 || (was !== 0 && was !== is)) return false;
      const apart = Math.abs(midiOf(to) - midiOf(at(other)));
      if (Math.min(midiOf(to), midiOf(at(other))) < LOW.below && apart < LOW.apart) return false;
      if (other.hand === note.hand && Math.abs(stringOf(to) - stringOf(at(other))) > TENTH) return false;
    }
  }
  return true;
}

/** The same contour as before between what a hand plays one after another. */
function keepsContour(notes: readonly Note[], moved: ReadonlyMap<Note, Pitch>): boolean {
  const at = (n: Note): Pitch => moved.get(n) ?? n.pitch;
  for (const hand of ['L', 'R'] as const) {
    const line = notes.filter((n) => n.hand === hand).sort((a, b) => a.onset - b.onset);
    for (let i = 1; i < line.length; i++) {
      const [a, b] = [line[i - 1] as Note, line[i] as Note];
      if (a.onset === b.onset || (!moved.has(a) && !moved.has(b))) continue;
      const [was, is] = [
        Math.sign(stringOf(b.pitch) - stringOf(a.pitch)),
        Math.sign(stringOf(at(b)) - stringOf(at(a))),
      ];
      if (was !== is) return false;
    }
  }
  return true;
}

/** All that sounds as one note does: wherever its hand plays it, with the other hand where both run in octaves. */
function alike(notes: readonly Note[], note: Note): Note[] {
  const own = notes.filter((n) => n.hand === note.hand && midiOf(n.pitch) === midiOf(note.pitch));
  const pc = pcOf(note.pitch);
  const twins = notes.filter(
    (n) => n.hand !== note.hand && pcOf(n.pitch) === pc && own.some((o) => o.onset === n.onset),
  );
  const alone = own.every((o) => notes.filter((n) => n.onset === o.onset).length === 2);
  return alone && twins.length === own.length ? [...own, ...twins] : own;
}

/** The stretch's notes with its telling tone among them, or as they were where no note can give way. */
function told(notes: readonly Note[], segment: Segment): readonly Note[] {
  const tone = tellingTone(segment);
  if (tone === null || notes.length === 0 || notes.some((n) => pcOf(n.pitch) === tone.pc)) return notes;
  const strings = notes.map((n) => stringOf(n.pitch));
  const [low, high] = [Math.min(...strings), Math.max(...strings)];
  const rungs = ladder([tone], 0, 46);
  let best: { readonly moved: ReadonlyMap<Note, Pitch>; readonly points: number } | null = null;
  const seen = new Set<string>();
  for (const note of notes) {
    const string = stringOf(note.pitch);
    const key = `${note.hand} ${midiOf(note.pitch)}`;
    if (string === low || seen.has(key)) continue;
    seen.add(key);
    const group = alike(notes, note);
    if (group.some((n) => stringOf(n.pitch) === low)) continue;
    const pc = pcOf(note.pitch);
    const doubled = notes.some((n) => !group.includes(n) && pcOf(n.pitch) === pc);
    const lost = loss(pc, doubled, segment);
    if (lost === null) continue;
    const top = group.some((n) => stringOf(n.pitch) === high);
    for (const to of rungs) {
      const by = midiOf(to) - midiOf(note.pitch);
      if (Math.abs(by) > (top ? NEAR.top : NEAR.inner)) continue;
      const moved = new Map<Note, Pitch>();
      for (const n of group) {
        const octaves = Math.round((midiOf(n.pitch) - midiOf(note.pitch)) / 12);
        moved.set(n, { ...to, octave: to.octave + octaves });
      }
      if (!fits(notes, moved)) continue;
      const points =
        lost +
        (top ? 30 : 0) +
        (keepsContour(notes, moved) ? 0 : 15) +
        Math.abs(by) +
        (midiOf(to) < MIDDLE ? 6 : 0);
      if (best === null || points < best.points) best = { moved, points };
    }
  }
  if (best === null) return notes;
  const { moved } = best;
  return notes.map((n) => {
    const pitch = moved.get(n);
    return pitch === undefined ? n : { ...n, pitch };
  });
}

/**
 * The notes of a figure in which every stretch sounds its chord's third (in a suspended chord the fourth or second),
 * where a note can give way to it: never the lowest, the highest only where nothing else can, and of the rest first a
 * root or fifth that is doubled, then a plain fifth (common practice: root and fifth before third as doublings, and a
 * chord without its third tells nothing). Wherever a hand plays the note in the stretch it is replaced, so that
 * patterns stay what they are; octaves between the hands stay octaves.
 */
export function telling(notes: readonly Note[], { segments }: Setup): Note[] {
  const out: Note[] = [];
  const within = (n: Note, s: Segment): boolean => n.onset >= s.onset && n.onset < s.onset + s.duration;
  for (const s of segments)
    out.push(
      ...told(
        notes.filter((n) => within(n, s)),
        s,
      ),
    );
  // Upbeats before the first stretch, and what leads over a gap.
  const rest = notes.filter((n) => !segments.some((s) => within(n, s)));
  return rest.length === 0 ? out : [...out, ...rest].sort((a, b) => a.onset - b.onset);
}
