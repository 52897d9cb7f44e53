/** From a played note to the sound it needs: which string, in which position, touched how. */

import type { PlayedNote } from '../harp/performance';
import type { Position, Setting } from '../harp/setting';
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
  /** The ring that the pluck calls forth in the other strings, standing in this setting, in place of the pluck. */
  readonly halo?: Setting;
  /** The buzz of the disc, in place of the pluck. */
  readonly buzz?: true;
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

/** What the other strings answer to a note, or null where nothing is known of the pedals or nothing rings. */
export const haloOf = (note: PlayedNote): VoiceId | null =>
  note.setting === undefined || note.technique === 'etouffe'
    ? null
    : { ...voiceOf(note), halo: note.setting };

/** The buzz of a string whose pedal comes to a position. */
export const buzzOf = (string: StringIndex, position: Position): VoiceId => ({
  string,
  position,
  technique: 'ordinary',
  layer: 'medium',
  buzz: true,
});

/** 'string/position/technique/layer', with '/halo' and the setting, or '/buzz'. */
export const voiceKey = (v: VoiceId): string =>
  `${v.string}/${v.position}/${v.technique}/${v.layer}` +
  (v.halo === undefined ? '' : `/halo${v.halo}`) +
  (v.buzz === undefined ? '' : '/buzz');

/** Level of a note within its layer, as an amplitude ratio. */
export const noteGain = (note: PlayedNote): number => DYNAMIC_LAYER[note.dynamic].gain * (note.touch ?? 1);

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
