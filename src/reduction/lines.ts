/** The outer lines of a passage: which notes the ear follows at the top and at the bottom. */

import type { Passage, Pluck } from '../music/passage';
import { midiOf } from '../music/pitch';

/** A note as it is struck and held. */
export interface Voice {
  readonly id: string;
  readonly onset: number;
  readonly end: number;
  readonly midi: number;
  /** Written to ring on. */
  readonly ring: boolean;
}

/** Plucks and the notes of trembles, by onset, then from low to high. Harmonics sound an octave higher. */
export function voicesOf(passage: Passage): Voice[] {
  const pluck = (p: Pluck): Voice => ({
    id: p.id,
    onset: p.onset,
    end: p.onset + p.duration,
    midi: midiOf(p.pitch) + (p.technique === 'harmonic' ? 12 : 0),
    ring: p.ring === true,
  });
  const out = passage.plucks.map(pluck);
  for (const t of passage.trembles) {
    for (const n of t.notes) {
      out.push({
        id: n.id,
        onset: t.onset,
        end: t.onset + t.duration,
        midi: midiOf(n.pitch),
        ring: false,
      });
    }
  }
  return out.sort((a, b) => a.onset - b.onset || a.midi - b.midi);
}

/** Voices grouped by onset, in order. */
export function byOnset(voices: readonly Voice[]): Voice[][] {
  const out: Voice[][] = [];
  for (const v of voices) {
    const last = out.at(-1);
    if (last?.[0]?.onset === v.onset) last.push(v);
    else out.push([v]);
  }
  return out;
}

export interface OuterLines {
  readonly top: readonly Voice[];
  readonly bass: readonly Voice[];
}

/** Top and bass: the highest (lowest) of each instant with nothing higher (lower) still held. */
export function outerLines(voices: readonly Voice[]): OuterLines {
  const top: Voice[] = [];
  const bass: Voice[] = [];
  let held: Voice[] = [];
  for (const group of byOnset(voices)) {
    const [low, high] = [group[0] as Voice, group.at(-1) as Voice];
    held = held.filter((v) => v.end > low.onset);
    if (held.every((v) => v.midi <= high.midi)) top.push(high);
    if (held.every((v) => v.midi >= low.midi)) bass.push(low);
    held.push(...group);
  }
  return { top, bass };
}
