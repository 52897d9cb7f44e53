/** Bisbigliando: the strings of a chord whispered by both hands in turn, soft only. */

import { type Result, fail, ok } from '../base/result';
import { ticks } from '../base/units';
import { beatTicks, isCompound } from '../music/metre';
import type { Dynamic, Hand, Tremble } from '../music/passage';
import { type Pitch, midiOf } from '../music/pitch';
import { type Note, composePassage } from './compose';
import { craftOf } from './craft';
import { unsuited } from './interpreter';
import { checkHands, microsOf } from './limits';
import { compassOf } from './register';
import { segmentsOf } from './segments';
import type { FigureBrief, FigureDraft, FigureFamily } from './types';
import { type Voicing, voice } from './voicing';

const SOFT: readonly Dynamic[] = ['ppp', 'pp', 'p'];
/** A whisper shorter than this is only a chord. */
const SHORTEST = 500_000;
/** Goss, 100 Orchestration Tips, no. 68; common practice. */
const FEWEST = 3;
/** Four fingers of each hand. */
const MOST = 8;

const ID = 'bisbigliando';

/** Alternate notes of a close chord to either hand: the hands lie in one another. */
function interlock(pitches: readonly Pitch[]): { pitch: Pitch; hand: Hand }[] {
  return pitches.map((pitch, i) => ({ pitch, hand: i % 2 === 0 ? 'L' : 'R' }));
}

/** A beat where half the stretch holds one, else the eighths that half of it holds; none in a shorter one. */
function waitOf(duration: number, beat: number, compound: boolean): number {
  const eighth = compound ? beat / 3 : beat / 2;
  return 2 * beat <= duration ? beat : Math.floor(duration / 2 / eighth) * eighth;
}

function draft(brief: FigureBrief): Result<FigureDraft> {
  const wanted = FEWEST + brief.random.below(MOST - FEWEST + 1);
  const first = wanted === FEWEST || (wanted === FEWEST + 1 && brief.random.chance(1, 2));
  const made = attempt(brief, first, wanted);
  return made.ok ? made : attempt(brief, !first, wanted);
}

/** With the bass struck before the whisper, or as its lowest string; `wanted` strings, fewer where a chord has not so many. */
function attempt(brief: FigureBrief, bassFirst: boolean, wanted: number): Result<FigureDraft> {
  const { progression, random } = brief;
  const segments = segmentsOf(progression);
  const compass = compassOf(brief.instrument);
  if (segments.length === 0) return fail(unsuited(ID, 'no chord', 'a chord'));
  const dynamic =
    brief.dynamic !== undefined && SOFT.includes(brief.dynamic) ? brief.dynamic : random.pick(SOFT);
  const beat = beatTicks(progression.metre);
  const leftNotes = bassFirst ? 1 : Math.max(2, wanted >> 1);
  const rightNotes = bassFirst ? Math.min(4, wanted) : Math.max(2, wanted - (wanted >> 1));
  const voicings = voice(
    segments,
    {
      left: bassFirst
        ? { form: 'bass', notes: 1, window: [7, 16] }
        : { form: 'low', notes: leftNotes, window: random.pick([[14, 22] as const, [18, 25] as const]) },
      right: {
        form: random.pick(['close', 'open'] as const),
        notes: rightNotes,
        window: random.pick([[21, 38] as const, [25, 42] as const]),
        joined: !bassFirst,
      },
      aim: 30 + random.below(9),
      rootless: random.chance(1, 2),
    },
    compass,
  );
  const notes: Note[] = [];
  const trembles: Omit<Tremble, 'id'>[] = [];
  segments.forEach((segment, i) => {
    const { left, right } = voicings[i] as Voicing;
    const end = segment.onset + segment.duration;
    const strike = (pitches: readonly Pitch[], hand: Hand, onset: number, ring: boolean): void => {
      for (const pitch of pitches)
        notes.push({
          onset: ticks(onset),
          duration: ticks(end - onset),
          pitch,
          hand,
          technique: 'ordinary',
          dynamic,
          ring,
          roll: null,
        });
    };
    // A whisper begins after the bass, where there is a beat to spare, and stops for the closing chord.
    const onset =
      segment.onset + (bassFirst ? waitOf(segment.duration, beat, isCompound(progression.metre)) : 0);
    const stop = segment.last ? onset + Math.floor((end - onset) / (2 * beat)) * beat : end;
    const strings = bassFirst
      ? interlock(right)
      : [
          ...left.map((pitch) => ({ pitch, hand: 'L' as const })),
          ...right.map((pitch) => ({ pitch, hand: 'R' as const })),
        ];
    const waits = !bassFirst || onset > segment.onset;
    const fits = waits && microsOf(stop - onset, brief.milliBpm) >= SHORTEST && strings.length >= FEWEST;
    if (fits) {
      if (bassFirst) strike(left, 'L', segment.onset, segment.last);
      trembles.push({
        onset: ticks(onset),
        duration: ticks(stop - onset),
        notes: strings
          .sort((a, b) => midiOf(a.pitch) - midiOf(b.pitch))
          .map((n, k) => ({ id: `t${trembles.length}-${k}`, ...n })),
        dynamic,
      });
      if (segment.last) {
        if (!bassFirst) strike(left, 'L', stop, true);
        strike(right, 'R', stop, true);
      }
    } else {
      strike(left, 'L', segment.onset, segment.last);
      strike(right, 'R', segment.onset, segment.last);
    }
  });
  if (2 * trembles.length < segments.length - 1 || trembles.length === 0) {
    return fail(unsuited(ID, 'most chords are too short for a whisper', '0.5 s'));
  }
  const widest = Math.max(...trembles.map((t) => t.notes.length));
  const passage = composePassage(brief, { notes, trembles });
  const checked = checkHands(passage, compass);
  if (!checked.ok) return checked;
  return ok({
    variant: `${bassFirst ? 'after the bass, hands interlocked' : 'from the bass up, both hands'}, ${widest} strings`,
    passage,
    craft: craftOf(
      passage,
      segments.map((s) => s.onset),
    ),
  });
}

export const BISBIGLIANDO: FigureFamily = {
  id: ID,
  name: 'Bisbigliando',
  serves: 'A soft shimmer on one harmony: under a hushed entry, for night and water.',
  draft,
};
