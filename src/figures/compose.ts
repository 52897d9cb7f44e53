/** Notes with hands and times, gathered and turned into a passage with stable ids. */

import { type Ticks, ticks } from '../base/units';
import type { Progression } from '../harmony/types';
import { makeBars } from '../music/metre';
import type {
  Damp,
  Dynamic,
  Hairpin,
  Hand,
  HarmonyMark,
  Passage,
  Pluck,
  Roll,
  Sweep,
  Technique,
  Tremble,
} from '../music/passage';
import { type Pitch, midiOf } from '../music/pitch';
import { microsOf } from './limits';
import type { FigureBrief } from './types';

export interface Note {
  readonly onset: Ticks;
  readonly duration: Ticks;
  readonly pitch: Pitch;
  /** The spelling is the string meant: the plan keeps it. */
  readonly fixed?: boolean;
  readonly hand: Hand;
  readonly technique: Technique;
  readonly dynamic: Dynamic;
  readonly ring: boolean;
  /** Notes of one onset with the same roll make one rolled or bracketed chord. */
  readonly roll: Roll['direction'] | null;
}

/** Chord symbols over the staff, one at each change and at each bar's first chord as typed. */
export function harmonyMarks(progression: Progression): HarmonyMark[] {
  return progression.chords.map(({ onset, text, chord }) =>
    chord === null
      ? { onset, text, root: null, bass: null, kind: 'none', degrees: [] }
      : { onset, text, root: chord.root, bass: chord.bass, kind: chord.kind, degrees: chord.degrees },
  );
}

/** Silence for N.C. between chords: damping all takes both hands and about half a second (common practice). */
const DAMP_TIME = 1_000_000;

function dampsFor({ progression, milliBpm }: FigureBrief): Damp[] {
  const { chords } = progression;
  return chords.flatMap(({ onset, duration, chord }, i) => {
    const sounds = (list: typeof chords): boolean => list.some((c) => c.chord !== null);
    const before = chords[i - 1];
    const silent =
      chord === null && before !== undefined && before.chord !== null && sounds(chords.slice(i + 1));
    return silent && microsOf(duration, milliBpm) >= DAMP_TIME ? [{ onset }] : [];
  });
}

export interface Parts {
  readonly notes: readonly Note[];
  readonly sweeps?: readonly Omit<Sweep, 'id'>[];
  readonly trembles?: readonly Omit<Tremble, 'id'>[];
  readonly hairpins?: readonly Hairpin[];
}

/** Sorts, drops a note struck twice at once, numbers plucks p0…, rolls r0…, sweeps g0…, trembles b0…. */
export function composePassage(brief: FigureBrief, parts: Parts): Passage {
  const sorted = [...parts.notes].sort(
    (a, b) => a.onset - b.onset || midiOf(a.pitch) - midiOf(b.pitch) || b.duration - a.duration,
  );
  const plucks: Pluck[] = [];
  const rolls: { id: string; plucks: string[]; direction: Roll['direction'] }[] = [];
  let rollAt = -1;
  let previous: Note | null = null;
  for (const note of sorted) {
    if (
      previous !== null &&
      previous.onset === note.onset &&
      previous.pitch.letter === note.pitch.letter &&
      previous.pitch.octave === note.pitch.octave
    )
      continue;
    previous = note;
    const id = `p${plucks.length}`;
    plucks.push({
      id,
      onset: note.onset,
      duration: note.duration,
      pitch: note.pitch,
      ...(note.fixed === true ? { fixed: true } : {}),
      hand: note.hand,
      finger: null,
      technique: note.technique,
      dynamic: note.dynamic,
      ...(note.ring ? { ring: true } : {}),
    });
    if (note.roll !== null) {
      const open = rolls.at(-1);
      if (open !== undefined && rollAt === note.onset && open.direction === note.roll) open.plucks.push(id);
      else rolls.push({ id: `r${rolls.length}`, plucks: [id], direction: note.roll });
      rollAt = note.onset;
    }
  }
  const { progression } = brief;
  return {
    title: brief.title,
    bars: makeBars(progression.metre, progression.barCount),
    tempo: [{ onset: ticks(0), milliBpm: brief.milliBpm }],
    fifths: progression.key.fifths,
    plucks,
    rolls: rolls.filter((r) => r.plucks.length > 1),
    sweeps: (parts.sweeps ?? []).map((s, i) => ({ id: `g${i}`, ...s })),
    trembles: (parts.trembles ?? []).map((t, i) => ({ id: `b${i}`, ...t })),
    chords: harmonyMarks(progression),
    damps: dampsFor(brief),
    ...((parts.hairpins ?? []).length > 0 ? { hairpins: parts.hairpins ?? [] } : {}),
  };
}
