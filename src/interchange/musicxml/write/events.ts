/** What is printed in each hand: chords, sweeps and trembles as events with heads, before voices are chosen. */

import { type Ticks, ticks } from '../../../base/units';
import type { Dynamic, Finger, Hand, Passage, Slide, Sweep, Technique } from '../../../music/passage';
import { type Pitch, diatonicIndex, midiOf } from '../../../music/pitch';
import { type PlannedPassage, settingAt } from '../../../harp/planned';
import { positionOf } from '../../../harp/setting';
import { stringLetter, stringPitch } from '../../../harp/strings';

/** One notehead. */
export interface Head {
  /** Id in the passage; the file's id is made from it. */
  readonly id: string;
  readonly pitch: Pitch;
  readonly technique: Technique;
  readonly finger: Finger | null;
  readonly ring: boolean;
  readonly dynamic: Dynamic;
}

/** A chord, or the start of a sweep, or one hand's share of a tremble. */
export interface PrintEvent {
  readonly kind: 'pluck' | 'sweep' | 'tremble';
  readonly hand: Hand;
  readonly onset: Ticks;
  readonly end: Ticks;
  /** From low to high. */
  readonly heads: readonly Head[];
  /** The end of a sweep, printed as a small note after it. */
  readonly goal: Head | null;
  /** The sweep or tremble that it belongs to. */
  readonly of: string | null;
  /** Pedal slides of its heads: what each comes to, printed as small notes after it. */
  readonly slides: readonly Slide[];
}

const lowToHigh = (a: Head, b: Head) =>
  diatonicIndex(a.pitch) - diatonicIndex(b.pitch) || midiOf(a.pitch) - midiOf(b.pitch);

/** The pitch of a string as it stands in the plan at a tick. */
export function plannedPitch(planned: PlannedPassage, string: number, at: Ticks): Pitch {
  const position = planned.instrument.discless.includes(string)
    ? (planned.tuning[string] ?? planned.instrument.disclessDefault)
    : positionOf(settingAt(planned, at), stringLetter(string));
  return stringPitch(string, position);
}

function sweepEvents(sweep: Sweep, planned: PlannedPassage, writeOut: boolean): PrintEvent[] {
  const end = ticks(sweep.onset + sweep.duration);
  const head = (id: string, string: number, at: Ticks): Head => ({
    id,
    pitch: plannedPitch(planned, string, at),
    technique: 'ordinary',
    finger: null,
    ring: false,
    dynamic: sweep.dynamic,
  });
  const event = (id: string, string: number, onset: Ticks, until: Ticks): PrintEvent => ({
    ...{ kind: 'pluck', hand: sweep.hand, onset, end: until, of: null, goal: null, slides: [] },
    heads: [head(id, string, sweep.onset)],
  });
  const goal = head(`${sweep.id}.end`, sweep.to, ticks(Math.max(sweep.onset, end - 1)));
  const line = (id: string, string: number, onset: Ticks): PrintEvent => ({
    ...event(id, string, onset, end),
    ...{ kind: 'sweep', goal, of: sweep.id },
  });
  const written = writeOut ? writtenLength(sweep) : null;
  if (written === null) return [line(sweep.id, sweep.from, sweep.onset)];
  const step = Math.sign(sweep.to - sweep.from);
  const at = (i: number): Ticks => ticks(sweep.onset + (i * written) / OCTAVE);
  return [
    ...Array.from({ length: OCTAVE }, (_, i) => ({
      ...event(i === 0 ? sweep.id : `${sweep.id}.s${i}`, sweep.from + i * step, at(i), at(i + 1)),
      of: sweep.id,
    })),
    line(`${sweep.id}.s${OCTAVE}`, sweep.from + OCTAVE * step, at(OCTAVE)),
  ];
}

/** Strings of an octave, the eighth left out. */
const OCTAVE = 7;

/** How long the first octave of a sweep is written: the longest plain value up to half of it; null where it is short. */
function writtenLength(sweep: Sweep): number | null {
  if (Math.abs(sweep.to - sweep.from) < OCTAVE + 2) return null;
  const value = [6720, 3360, 1680].find((ticks) => ticks * 2 <= sweep.duration && sweep.onset % ticks === 0);
  return value ?? null;
}

function pluckEvents(passage: Passage): PrintEvent[] {
  const chords = new Map<string, PrintEvent & { heads: Head[]; slides: Slide[] }>();
  const slides = new Map<string, Slide[]>();
  for (const slide of passage.slides ?? [])
    slides.set(slide.pluck, [...(slides.get(slide.pluck) ?? []), slide]);
  for (const pluck of passage.plucks) {
    // A hand left open: above middle C the right, below it the left.
    const hand = pluck.hand ?? (pluck.staff === 2 || midiOf(pluck.pitch) < 60 ? 'L' : 'R');
    const key = `${hand} ${pluck.onset} ${pluck.duration}`;
    let chord = chords.get(key);
    if (chord === undefined) {
      const end = ticks(pluck.onset + Math.max(1, pluck.duration));
      chord = {
        ...{ kind: 'pluck', hand, onset: pluck.onset, end },
        ...{ heads: [], goal: null, of: null, slides: [] },
      };
      chords.set(key, chord);
    }
    chord.heads.push({
      id: pluck.id,
      pitch: pluck.pitch,
      technique: pluck.technique,
      finger: pluck.finger,
      ring: pluck.ring ?? false,
      dynamic: pluck.dynamic,
    });
    chord.slides.push(...(slides.get(pluck.id) ?? []));
  }
  for (const chord of chords.values()) {
    chord.heads.sort(lowToHigh);
    chord.slides.sort((a, b) => a.onset - b.onset);
  }
  return [...chords.values()];
}

function trembleEvents(passage: Passage): PrintEvent[] {
  return passage.trembles.flatMap((tremble) =>
    (['R', 'L'] as const).flatMap((hand): PrintEvent[] => {
      const heads = tremble.notes
        .filter((note) => note.hand === hand)
        .map((note): Head => ({
          id: note.id,
          pitch: note.pitch,
          technique: 'ordinary',
          finger: null,
          ring: false,
          dynamic: tremble.dynamic,
        }))
        .sort(lowToHigh);
      if (heads.length === 0) return [];
      const end = ticks(tremble.onset + tremble.duration);
      return [
        {
          ...{ kind: 'tremble', hand, onset: tremble.onset, end, heads, goal: null, of: tremble.id },
          slides: [],
        },
      ];
    }),
  );
}

/** Every event of the passage, sorted by onset; the right hand first, longer before shorter. */
export function printEvents(planned: PlannedPassage, glissandoStart = false): PrintEvent[] {
  const { passage } = planned;
  const events = [
    ...pluckEvents(passage),
    ...passage.sweeps.flatMap((sweep) => sweepEvents(sweep, planned, glissandoStart)),
    ...trembleEvents(passage),
  ];
  return events.sort(
    (a, b) => a.onset - b.onset || (a.hand === b.hand ? b.end - a.end : a.hand === 'R' ? -1 : 1),
  );
}
