/** From a played note to the sound it needs: which string, in which position, touched how. */

import type { PlayedNote } from '../harp/performance';
import type { Position } from '../harp/setting';
import { type StringIndex, stringPitch } from '../harp/strings';
import type { Technique } from '../music/passage';
import { midiOf } from '../music/pitch';
import { DYNAMIC_LAYER, type Layer } from './layers';

export type { PlayedNote };

/** What must be rendered for a note: notes with the same key share their samples. */
export interface VoiceId {
  readonly string: StringIndex;
  readonly position: Position;
  readonly technique: Technique;
  readonly layer: Layer;
}

/** The pedal's position, from the key that sounds: a harmonic sounds twelve keys above its string. */
export function positionOfNote(note: PlayedNote): Position {
  const natural = midiOf(stringPitch(note.string, 0)) + (note.technique === 'harmonic' ? 12 : 0);
  const difference = note.midi - natural;
  return difference < 0 ? -1 : difference > 0 ? 1 : 0;
}

export const voiceOf = (note: PlayedNote): VoiceId => ({
  string: note.string,
  position: positionOfNote(note),
  technique: note.technique,
  layer: DYNAMIC_LAYER[note.dynamic].layer,
});

/** 'string/position/technique/layer'. */
export const voiceKey = (v: VoiceId): string => `${v.string}/${v.position}/${v.technique}/${v.layer}`;

/** Level of a note within its layer, as an amplitude ratio. */
export const noteGain = (note: PlayedNote): number => DYNAMIC_LAYER[note.dynamic].gain;

/** Every sound that the notes need, once each, in the order of first use (`notes` sorted by onset). */
export function voicesNeeded(notes: readonly PlayedNote[]): VoiceId[] {
  const out = new Map<string, VoiceId>();
  for (const note of notes) {
    const voice = voiceOf(note);
    const key = voiceKey(voice);
    if (!out.has(key)) out.set(key, voice);
  }
  return [...out.values()];
}
