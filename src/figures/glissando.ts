/** Glissando families: sweeps under a setting that sounds the chord, between chords that they leave or reach. */

import { type Result, fail, ok } from '../base/result';
import { ticks } from '../base/units';
import type { Dynamic, Hand, Sweep } from '../music/passage';
import type { Pitch } from '../music/pitch';
import { type Note, composePassage } from './compose';
import { craftOf } from './craft';
import { unsuited } from './interpreter';
import { checkHands, microsOf } from './limits';
import { compassOf } from './register';
import { type Segment, segmentsOf } from './segments';
import { CONTRARY, PARALLEL, SINGLE, type Style, place, settingsFor } from './sweeps';
import type { FigureBrief, FigureDraft, FigureFamily } from './types';
import { type Voicing, voice } from './voicing';

interface Plan {
  readonly style: Style;
  readonly coloured: boolean;
  readonly rightNotes: number;
  readonly sparing: boolean;
  readonly dynamic: Dynamic;
}

function attempt(
  id: string,
  segments: readonly Segment[],
  plan: Plan,
  brief: FigureBrief,
): Result<FigureDraft> {
  const { random } = brief;
  const { style, coloured, dynamic } = plan;
  const compass = compassOf(brief.instrument);
  const voicings = voice(
    segments,
    {
      left: random.pick([
        { form: 'octave', notes: 2, window: [7, 13] },
        { form: 'low', notes: 3, window: [7, 14], reach: 8 },
        { form: 'bass', notes: 1, window: [5, 14] },
      ] as const),
      right: {
        form: random.pick(['close', 'open'] as const),
        notes: plan.rightNotes,
        window: [26, 42],
        joined: false,
      },
      aim: 32 + random.below(8),
      rootless: random.chance(1, 2),
    },
    compass,
  );
  // Every chord, or every other, so that a sweep stays an event.
  const every = plan.sparing && segments.length >= 4 ? 2 : 1;
  const offset = random.below(every);
  const notes: Note[] = [];
  const sweeps: Omit<Sweep, 'id'>[] = [];
  let arriving = false;
  segments.forEach((segment, i) => {
    const voicing = voicings[i] as Voicing;
    const end = segment.onset + segment.duration;
    const strike = (pitches: readonly Pitch[], hand: Hand, onset: number, until: number): void => {
      for (const pitch of pitches)
        notes.push({
          onset: ticks(onset),
          duration: ticks(until - onset),
          pitch,
          hand,
          technique: 'ordinary',
          dynamic,
          ring: segment.last,
          roll: null,
        });
    };
    const scene = { segment, voicing, goal: voicings[i + 1] ?? voicing };
    // The last chord closes, but a lone chord gets its sweep first and lands.
    const skipped =
      (segment.last && segments.length > 1) || i % every !== offset || (style.departs && arriving);
    const placed = skipped ? [] : place(scene, style, brief);
    const settings =
      placed.length === 0 ? [] : settingsFor(segment.chord, coloured, brief.progression.key.fifths);
    for (const s of placed)
      sweeps.push({
        onset: ticks(s.onset),
        duration: ticks(s.duration),
        hand: s.hand,
        from: s.from,
        to: s.to,
        settings,
        dynamic,
      });
    const start = (hand: Hand): number =>
      segment.last ? end : Math.min(end, ...placed.filter((s) => s.hand === hand).map((s) => s.onset));
    strike(voicing.left, 'L', segment.onset, start('L'));
    if (style.departs && placed.length > 0) {
      strike(voicing.right.slice(-1), 'R', Math.max(...placed.map((s) => s.onset + s.duration)), end);
    } else strike(arriving ? voicing.right.slice(-1) : voicing.right, 'R', segment.onset, start('R'));
    arriving = placed.some((s) => s.hand === 'R' && s.onset + s.duration === end);
  });
  if (sweeps.length === 0) return fail(unsuited(id, 'every chord is too short for a sweep', 'nine strings'));
  const passage = composePassage(brief, { notes, sweeps });
  const checked = checkHands(passage, compass);
  if (!checked.ok) return checked;
  return ok({
    variant: nameOf(plan, sweeps, segments.length),
    passage,
    craft: craftOf(
      passage,
      segments.map((s) => s.onset),
    ),
  });
}

/** 'falling, two octaves, coloured': the way, the widest sweep to the nearest octave, the choice of strings. */
function nameOf({ style, coloured }: Plan, sweeps: readonly Omit<Sweep, 'id'>[], segments: number): string {
  const octaves = Math.round(Math.max(...sweeps.map((s) => Math.abs(s.to - s.from))) / 7);
  const size =
    ['', 'one octave', 'two octaves', 'three octaves', 'four octaves'][octaves] ?? 'the whole harp';
  const few = 2 * new Set(sweeps.map((s) => s.onset)).size < segments ? 'now and then' : null;
  return [style.name, size, coloured ? 'coloured' : 'chord only', few].filter((w) => w !== null).join(', ');
}

/** Tries the styles in random order, with thinner chords when the full ones come too fast. */
function draft(id: string, styles: readonly Style[], brief: FigureBrief): Result<FigureDraft> {
  const { progression, random } = brief;
  const segments = segmentsOf(progression);
  if (segments.length === 0) return fail(unsuited(id, 'no chord', 'a chord'));
  const dynamic = brief.dynamic ?? random.pick(['mp', 'mf', 'f'] as const);
  // Pure settings ask for many pedals: only where chords last, and not always.
  const shortest = Math.min(...segments.map((s) => s.duration));
  const slow = microsOf(shortest, brief.milliBpm) >= 2_500_000;
  const coloured = !slow || random.chance(2, 3);
  const notes = 1 + random.below(4);
  let reason: Result<FigureDraft> | null = null;
  for (const [rightNotes, sparing] of [
    [notes, random.chance(1, 2)],
    [1, false],
  ] as const) {
    for (const style of random.shuffle(styles)) {
      const made = attempt(id, segments, { style, coloured, rightNotes, sparing, dynamic }, brief);
      if (made.ok) return made;
      reason ??= made;
    }
  }
  return reason as Result<FigureDraft>;
}

export const GLISSANDO: FigureFamily = {
  id: 'glissando',
  name: 'Glissando',
  serves:
    'Arrivals and changes of scene: a sweep under a setting that sounds the chord, landing on the next.',
  draft: (brief) => draft('glissando', SINGLE, brief),
};

export const CONTRARY_GLISSANDO: FigureFamily = {
  id: 'contrary-glissando',
  name: 'Glissandi in contrary motion',
  serves: 'The fullest sweep: both hands leave the middle for the ends of the harp, or close in from them.',
  draft: (brief) => draft('contrary-glissando', CONTRARY, brief),
};

export const PARALLEL_GLISSANDO: FigureFamily = {
  id: 'parallel-glissando',
  name: 'Glissandi in thirds, octaves and triads',
  serves: 'A thicker sweep for a climax: two hands an octave apart, or two and three fingers side by side.',
  draft: (brief) => draft('parallel-glissando', PARALLEL, brief),
};
