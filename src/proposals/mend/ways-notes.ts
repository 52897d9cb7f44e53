/** Repairs of single notes and of one chord: respell, drop, another hand, another octave, roll, split, thin. */

import { ticks } from '../../base/units';
import type { Pluck } from '../../music/passage';
import { type Pitch, harpSpellings, midiOf, octaveShift } from '../../music/pitch';
import { stringOf } from '../../harp/strings';
import { type Scene, chordOf, gapAfter, handOf, isDoubling, otherHand, step, weightOf } from './scene';
import type { Edit, RepairKind, Step } from './types';

/** Other spellings of a pitch that one string and one position give. */
export const otherSpellings = (p: Pitch): Pitch[] =>
  harpSpellings(midiOf(p)).filter((q) => q.letter !== p.letter || q.alter !== p.alter);

const inRange = (scene: Scene, p: Pitch): boolean => {
  const s = stringOf(p);
  return s >= scene.instrument.lowest && s <= scene.instrument.highest;
};

const pitchEdit = (id: string, to: Pitch): Edit => ({ kind: 'pitch', id, to });
const leave = (p: Pluck): Edit => ({ kind: 'leave-out', id: p.id });

/** `kind` is `respell` for the pedals’ sake, `homophone` for the string’s. */
export function respellings(scene: Scene, plucks: readonly Pluck[], kind: RepairKind): Step[] {
  return plucks.flatMap((p) =>
    otherSpellings(p.pitch)
      .filter((to) => inRange(scene, to))
      .map((to) => step(scene, kind, [pitchEdit(p.id, to)])),
  );
}

/** Every note of one spelling among these goes to its homophone: what belongs together stays together. */
export function sharedRespellings(scene: Scene, plucks: readonly Pluck[]): Step[] {
  const groups = new Map<string, Pluck[]>();
  for (const p of plucks) {
    const key = `${p.pitch.letter}${p.pitch.alter}`;
    groups.set(key, [...(groups.get(key) ?? []), p]);
  }
  return [...groups.values()].flatMap((group) => {
    if (group.length < 2) return [];
    const edits = group.flatMap((p) => {
      const to = otherSpellings(p.pitch).find((q) => inRange(scene, q));
      return to === undefined ? [] : [pitchEdit(p.id, to)];
    });
    return edits.length === group.length ? [step(scene, 'respell', edits)] : [];
  });
}

/** Every second strike of a pitch on the string that sounds the same. */
export function alternated(scene: Scene, plucks: readonly Pluck[]): Step[] {
  const inTime = [...plucks].sort((a, b) => a.onset - b.onset);
  return [1, 0].flatMap((phase) => {
    const edits = inTime.flatMap((p, i) => {
      const to = otherSpellings(p.pitch).find((q) => inRange(scene, q));
      return i % 2 === phase && to !== undefined ? [pitchEdit(p.id, to)] : [];
    });
    return edits.length > 1 ? [step(scene, 'homophone', edits)] : [];
  });
}

export const drops = (scene: Scene, plucks: readonly Pluck[]): Step[] =>
  plucks.filter((p) => isDoubling(scene, p)).map((p) => step(scene, 'drop', [leave(p)]));

export const thinnings = (scene: Scene, plucks: readonly Pluck[]): Step[] =>
  plucks.filter((p) => !isDoubling(scene, p)).map((p) => step(scene, 'thin', [leave(p)]));

export function otherHands(scene: Scene, plucks: readonly Pluck[]): Step[] {
  if (!scene.handsGiven) return [];
  return plucks.map((p) => step(scene, 'hand', [{ kind: 'hand', id: p.id, to: otherHand(p.hand) }]));
}

/** One or two octaves up and down, not onto a pitch that the onset has already. */
export function octaves(scene: Scene, plucks: readonly Pluck[], reach: number): Step[] {
  return plucks.flatMap((p) => {
    const taken = new Set(chordOf(scene, p).map((q) => midiOf(q.pitch)));
    const out: Step[] = [];
    for (let n = 1; n <= reach; n++) {
      for (const by of [n, -n]) {
        const to = octaveShift(p.pitch, by);
        if (!inRange(scene, to) || taken.has(midiOf(to))) continue;
        out.push(step(scene, 'octave', [pitchEdit(p.id, to)], 6 * (n - 1)));
      }
    }
    return out;
  });
}

/** The chords of the hands that these notes belong to, each once. */
export function handChordsOf(scene: Scene, plucks: readonly Pluck[]): (readonly Pluck[])[] {
  const seen = new Set<string>();
  return plucks.flatMap((p) => {
    const key = `${p.onset} ${p.hand}`;
    if (seen.has(key)) return [];
    seen.add(key);
    return [handOf(scene, p)];
  });
}

export function rolls(scene: Scene, plucks: readonly Pluck[]): Step[] {
  return handChordsOf(scene, plucks).flatMap((chord) => {
    const rolled = new Set(
      scene.passage.rolls.filter((r) => r.direction !== 'none').flatMap((r) => r.plucks),
    );
    if (chord.length < 2 || chord.every((p) => rolled.has(p.id))) return [];
    return [step(scene, 'roll', [{ kind: 'roll', ids: chord.map((p) => p.id) }])];
  });
}

/** The longest delay of what comes after the beat: an eighth. */
const LONGEST_DELAY = 1680;
/** Delays are whole thirty-seconds. */
const DELAY_STEP = 420;

/** A chord in two strokes: some of its notes half-way to the hand's next onset. */
export function splits(scene: Scene, plucks: readonly Pluck[]): Step[] {
  return handChordsOf(scene, plucks).flatMap((chord) => {
    const first = chord[0];
    if (first === undefined || chord.length < 2) return [];
    const room = Math.min(gapAfter(scene, first) ?? 2 * LONGEST_DELAY, first.duration, 2 * LONGEST_DELAY);
    const delay = Math.floor(room / 2 / DELAY_STEP) * DELAY_STEP;
    if (delay <= 0) return [];
    const later = (some: readonly Pluck[]): Step =>
      step(
        scene,
        'split',
        some.map((p): Edit => ({ kind: 'onset', id: p.id, to: ticks(p.onset + delay) })),
      );
    const half = chord.length >> 1;
    const ways = [chord.slice(1), chord.slice(0, -1), chord.slice(half), chord.slice(0, half)];
    return ways.filter((w) => w.length > 0).map(later);
  });
}

/** Notes for a second harp: they go from this part, and are named so that the other can have them. */
export function secondHarp(scene: Scene, plucks: readonly Pluck[]): Step[] {
  const single = plucks.map((p) => step(scene, 'second-harp', [leave(p)]));
  const chords = handChordsOf(scene, plucks)
    .filter((chord) => chord.length > 1)
    .map((chord) => step(scene, 'second-harp', chord.map(leave)));
  return [...single, ...chords];
}

/** An easier line: at each onset concerned only the line and the bass stay; of a single line every second note. */
export function easierLine(scene: Scene, plucks: readonly Pluck[]): Step[] {
  const onsets = [...new Set(plucks.map((p) => p.onset))].sort((a, b) => a - b);
  const named = new Set(plucks.map((p) => p.id));
  const inner = onsets.flatMap((onset) => {
    const chord = scene.byOnset.get(onset) ?? [];
    return chord.slice(1, -1).filter((p) => named.has(p.id));
  });
  const second = onsets
    .filter((_, i) => i % 2 === 1)
    .flatMap((onset) => (scene.byOnset.get(onset) ?? []).filter((p) => named.has(p.id)));
  const least = [...plucks].sort((a, b) => weightOf(scene, a.id) - weightOf(scene, b.id)).slice(0, 1);
  return [inner, second, least].filter((w) => w.length > 0).map((w) => step(scene, 'ossia', w.map(leave)));
}

/** A whole chord at once: its inner end to the other hand, or only so many notes as a hand has fingers. */
export function shares(scene: Scene, plucks: readonly Pluck[]): Step[] {
  return handChordsOf(scene, plucks).flatMap((chord) => {
    const out: Step[] = [];
    for (let n = 2; n < chord.length && scene.handsGiven; n++) {
      const given = chord[0]?.hand === 'R' ? chord.slice(0, n) : chord.slice(chord.length - n);
      const edits = given.map((p): Edit => ({ kind: 'hand', id: p.id, to: otherHand(p.hand) }));
      out.push(step(scene, 'hand', edits));
    }
    const value = (p: Pluck): number => weightOf(scene, p.id) - (isDoubling(scene, p) ? 1 : 0);
    const least = [...chord].sort((a, b) => value(a) - value(b));
    for (let n = 2; n <= chord.length - 2; n++) {
      const gone = least.slice(0, n);
      const kind = gone.every((p) => isDoubling(scene, p)) ? 'drop' : 'thin';
      out.push(step(scene, kind, gone.map(leave)));
    }
    return out;
  });
}
