/** How much of a piano part a harp part keeps: the measures of QUALITY.md. */

import { TICKS_PER_QUARTER } from '../base/units';
import type { HarmonyMark, Passage } from '../music/passage';
import { passageEnd } from '../music/passage';
import { barAt } from '../music/metre';
import { namingClasses } from './harmony';
import { type Voice, byOnset, outerLines, voicesOf } from './lines';
import type { Kept } from './types';

/** Instants within this many ticks are the same. */
export const SAME_INSTANT = TICKS_PER_QUARTER / 48;

const pcOf = (midi: number): number => ((midi % 12) + 12) % 12;

/** Counted halves, so that shares are made of whole numbers. */
interface Tally {
  kept: number;
  of: number;
}
const share = (t: Tally): number => (t.of === 0 ? 1 : t.kept / t.of);

/** The harp's notes as they sound: let-ring notes until the string again, a damp mark, or the end of the next bar. */
function sounding(harp: Passage): Voice[] {
  const voices = voicesOf(harp);
  const next = new Map<number, number>();
  const out: Voice[] = [];
  for (let i = voices.length - 1; i >= 0; i--) {
    const v = voices[i] as Voice;
    const again = next.get(v.midi) ?? Infinity;
    next.set(v.midi, v.onset);
    if (!v.ring) {
      out.push(v);
      continue;
    }
    const bar = barAt(harp.bars, v.onset as Passage['bars'][number]['start']);
    const after = harp.bars[bar.index + 1] ?? bar;
    const damp = harp.damps.find((d) => d.onset > v.onset)?.onset ?? Infinity;
    out.push({ ...v, end: Math.max(v.end, Math.min(again, damp, after.start + after.length)) });
  }
  return out.reverse();
}

/** Notes struck around an onset, by onset. */
function struckAt(voices: readonly Voice[]): (at: number) => readonly Voice[] {
  const groups = byOnset(voices);
  return (at) => {
    let low = 0;
    let high = groups.length;
    while (low < high) {
      const mid = (low + high) >> 1;
      if (((groups[mid] as Voice[])[0] as Voice).onset < at - SAME_INSTANT) low = mid + 1;
      else high = mid;
    }
    const out: Voice[] = [];
    for (let i = low; i < groups.length; i++) {
      const group = groups[i] as Voice[];
      if ((group[0] as Voice).onset > at + SAME_INSTANT) break;
      out.push(...group);
    }
    return out;
  };
}

/** Time in which each pitch class of `a` sounds, and the part of it in which `b` sounds it too. */
function overlap(a: readonly Voice[], b: readonly Voice[]): Tally {
  const tally = { kept: 0, of: 0 };
  for (let pc = 0; pc < 12; pc++) {
    const spans = merged(a, pc);
    const others = merged(b, pc);
    let j = 0;
    for (const [from, to] of spans) {
      tally.of += to - from;
      while (j < others.length && (others[j] as Span)[1] <= from) j++;
      for (let k = j; k < others.length; k++) {
        const [f, t] = others[k] as Span;
        if (f >= to) break;
        tally.kept += Math.min(t, to) - Math.max(f, from);
      }
    }
  }
  return tally;
}

type Span = readonly [number, number];

/** The stretches in which a pitch class sounds, joined. */
function merged(voices: readonly Voice[], pc: number): Span[] {
  const out: [number, number][] = [];
  for (const v of voices) {
    if (pcOf(v.midi) !== pc) continue;
    const last = out.at(-1);
    if (last !== undefined && v.onset <= last[1]) last[1] = Math.max(last[1], v.end);
    else out.push([v.onset, v.end]);
  }
  return out;
}

function bassTally(piano: readonly Voice[], harp: (at: number) => readonly Voice[]): Tally {
  const tally = { kept: 0, of: 2 * piano.length };
  for (const note of piano) {
    const struck = harp(note.onset);
    if (struck.some((v) => v.midi === note.midi)) tally.kept += 2;
    else {
      const lowest = Math.min(...struck.map((v) => v.midi));
      if (struck.length > 0 && pcOf(lowest) === pcOf(note.midi)) tally.kept += 1;
    }
  }
  return tally;
}

/** Thirds and sevenths of the chords, where they sound in the piano part: how many sound in the harp. */
function thirdsTally(
  chords: readonly HarmonyMark[],
  piano: readonly Voice[],
  harp: readonly Voice[],
  end: number,
): Tally {
  const tally = { kept: 0, of: 0 };
  const heard = (voices: readonly Voice[], pc: number, from: number, to: number): boolean =>
    voices.some((v) => pcOf(v.midi) === pc && v.onset < to - SAME_INSTANT && v.end > from + SAME_INSTANT);
  chords.forEach((mark, i) => {
    const to = chords[i + 1]?.onset ?? end;
    const near = (voices: readonly Voice[]): Voice[] =>
      voices.filter((v) => v.onset < to && v.end > mark.onset);
    const [p, h] = [near(piano), near(harp)];
    for (const pc of namingClasses(mark)) {
      if (!heard(p, pc, mark.onset, to)) continue;
      tally.of++;
      if (heard(h, pc, mark.onset, to)) tally.kept++;
    }
  });
  return tally;
}

/**
 * What `harp` keeps of `piano`, in shares from 0 to 1; a measure with nothing to count is 1. `chords` are those of the
 * piano part (see harmony.ts), in order.
 */
export function measureKept(piano: Passage, harp: Passage, chords: readonly HarmonyMark[]): Kept {
  const before = voicesOf(piano);
  const after = sounding(harp);
  const at = struckAt(after);
  const { top, bass } = outerLines(before);
  const topKept = top.filter((n) => at(n.onset).some((v) => v.midi === n.midi)).length;
  return {
    top: share({ kept: topKept, of: top.length }),
    bass: share(bassTally(bass, at)),
    harmony: share(overlap(before, after)),
    thirds: share(thirdsTally(chords, before, after, passageEnd(piano))),
  };
}
