/** What the user steers: pedals left alone, a key signature of the harp's own; and which options make no sense. */

import type { Problem } from '../base/problem';
import { ticks } from '../base/units';
import { PEDALS, SETTING_COUNT, type Setting, positionOf, withPosition } from '../harp/setting';
import type { Passage } from '../music/passage';
import { LETTERS, type Letter, type Pitch, letterIndex, midiOf, spellingName } from '../music/pitch';
import type { PlanOptions } from './types';

/** A setting with the locked pedals at their positions. */
export function withLocks(setting: Setting, locked: PlanOptions['locked']): Setting {
  if (locked === undefined) return setting;
  return PEDALS.reduce((s, letter) => {
    const position = locked[letter];
    return position === undefined ? s : withPosition(s, letter, position);
  }, setting);
}

/** 'B♭ and E'. */
export const lockNames = (locked: NonNullable<PlanOptions['locked']>): string =>
  PEDALS.flatMap((letter) => {
    const position = locked[letter];
    return position === undefined ? [] : [spellingName(letter, position)];
  }).join(' and ');

/** The same pitch one letter up (`by` 1) or down (-1); as it was where that would need a double sign. */
function reletter(pitch: Pitch, by: 1 | -1): Pitch {
  const index = letterIndex(pitch.letter) + by;
  const letter = LETTERS[(index + 7) % 7] as Letter;
  const natural = { letter, alter: 0, octave: pitch.octave + Math.floor(index / 7) } as const;
  const alter = midiOf(pitch) - midiOf(natural);
  return alter >= -1 && alter <= 1 ? { ...natural, alter: alter as -1 | 0 | 1 } : pitch;
}

/**
 * The passage in a key signature of the harp's own. Where it is the same key under another name (seven flats for
 * five sharps) every note that is not fixed is asked for one letter up or down: B becomes C♭.
 */
export function inHarpKey(passage: Passage, fifths: number): Passage {
  const apart = fifths - passage.fifths;
  if (apart !== 12 && apart !== -12) return { ...passage, fifths };
  const by = apart === -12 ? 1 : -1;
  const anew = <N extends { readonly pitch: Pitch; readonly fixed?: boolean }>(note: N): N =>
    note.fixed === true ? note : { ...note, pitch: reletter(note.pitch, by) };
  return {
    ...passage,
    fifths,
    plucks: passage.plucks.map(anew),
    trembles: passage.trembles.map((t) => ({ ...t, notes: t.notes.map(anew) })),
  };
}

const isSetting = (s: number): boolean => Number.isInteger(s) && s >= 0 && s < SETTING_COUNT;

/** Options and tempi under which there is nothing to plan: each a problem of its own. */
export function optionProblems(passage: Passage, options: PlanOptions): Problem[] {
  const out: Problem[] = [];
  const wrong = (code: string, value: string | number, limit: string): void => {
    const where = { kind: 'music', onset: ticks(0), ids: [] } as const;
    out.push({ code, severity: 'error', where, value: String(value), limit, source: 'common practice' });
  };
  const { times, locked = {} } = options;
  for (const name of ['neighbour', 'reach'] as const) {
    if (!(times[name] > 0))
      wrong('foot-times', `${times[name] / 1_000_000} s`, 'more than 0 s for every foot');
  }
  for (const name of ['secondPosition', 'settle'] as const) {
    if (!(times[name] >= 0)) wrong('foot-times', `${times[name] / 1_000_000} s`, '0 s or more');
  }
  for (const { milliBpm } of passage.tempo) {
    if (!(milliBpm > 0)) wrong('tempo', milliBpm / 1000, 'more than 0 quarters a minute');
  }
  const key = options.fifths;
  if (key !== undefined && !(Number.isInteger(key) && key >= -7 && key <= 7))
    wrong('harp-key', key, '7 flats to 7 sharps');
  for (const end of ['start', 'end'] as const) {
    const setting = options[end];
    if (setting === null) continue;
    if (!isSetting(setting)) {
      wrong('pedal-setting', setting, `a setting, 0 to ${SETTING_COUNT - 1}`);
      continue;
    }
    for (const letter of PEDALS) {
      const position = locked[letter];
      const stands = positionOf(setting, letter);
      if (position === undefined || position === stands) continue;
      wrong(
        'pedal-lock',
        spellingName(letter, stands),
        `${spellingName(letter, position)}, to be left alone`,
      );
    }
  }
  return out;
}
