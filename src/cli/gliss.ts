/** `gliss`: settings that sound only one chord or scale. */

import { parseChord } from '../harmony/chord';
import { parseScale } from '../harmony/scales';
import {
  NATURAL_SETTING,
  PEDALS,
  type Setting,
  positionOf,
  settingName,
  unpackSetting,
} from '../harp/setting';
import { type GlissSetting, glissSettings, nearestSettings } from '../pedals/glissando';
import { type Pitch, harpSpellings, pitchClass, spellingName } from '../music/pitch';
import { UsageError, onePositional, parse, settingOption } from './args';
import type { Answer } from './output';

/** Pitch classes of a chord symbol, its slash bass included, or of a scale's name. */
function contentOf(text: string): number[] {
  const chord = parseChord(text);
  if (chord.ok) {
    const { tones, bass } = chord.value;
    const under = bass === null ? [] : [pitchClass(bass.letter, bass.alter)];
    return [...new Set([...under, ...tones.map((t) => t.pc)])];
  }
  const scale = parseScale(text);
  if (scale !== null) return scale.map((t) => t.pc);
  throw new UsageError(
    `“${text}” is neither a chord symbol such as E7 or Cm7b5 nor a scale such as “C whole tone” or “A harmonic minor”.`,
  );
}

/** Settings listed where none is exact. */
const NEAREST = 8;

/** A pitch class as the setting's strings spell it, or by its plainest name where no string has it. */
function spelt(pc: number, setting: Setting | null): string {
  const letter =
    setting === null ? undefined : PEDALS.find((l) => pitchClass(l, positionOf(setting, l)) === pc);
  if (letter !== undefined && setting !== null) return spellingName(letter, positionOf(setting, letter));
  const pitch = harpSpellings(60 + pc)[0] as Pitch;
  return spellingName(pitch.letter, pitch.alter);
}

/** A setting with what is wrong in it: what else sounds, what is missing. */
function shownNear(s: GlissSetting) {
  const foreign = s.foreign.map((pc) => spelt(pc, s.setting));
  const missing = s.missing.map((pc) => spelt(pc, null));
  const faults = [
    ...(foreign.length > 0 ? [`also sounds ${foreign.join(', ')}`] : []),
    ...(missing.length > 0 ? [`lacks ${missing.join(', ')}`] : []),
    ...(s.crosses ? ['crosses: one string sounds below its lower neighbour'] : []),
  ];
  return {
    ...unpackSetting(s.setting),
    exact: s.exact,
    crosses: s.crosses,
    moves: s.moves,
    text: settingName(s.setting),
    foreign,
    missing,
    message: `${faults.join('; ')}.`,
  };
}

export function glissCall(args: readonly string[]): Answer {
  const parsed = parse(args, { start: { type: 'string' } });
  const text = onePositional(parsed, 'one chord symbol or scale in quotes, such as "E7"');
  const from = settingOption(parsed, 'start') ?? NATURAL_SETTING;
  const content = contentOf(text.trim());
  const settings = glissSettings(content, from);
  const nearest = settings.length > 0 ? [] : nearestSettings(content, NEAREST, from).map(shownNear);
  return {
    json: {
      settings: settings.map((s) => ({
        ...unpackSetting(s.setting),
        exact: s.exact,
        crosses: s.crosses,
        moves: s.moves,
        text: settingName(s.setting),
      })),
      nearest,
    },
    text:
      settings.length === 0
        ? [
            `No setting of the seven pedals sounds exactly ${text}. The nearest:`,
            ...nearest.map((s) => `${s.text}   ${s.message}`),
          ].join('\n')
        : settings
            .map(
              (s) =>
                `${settingName(s.setting)}   ${s.moves} moves${s.crosses ? ' · crosses: one string sounds below its lower neighbour' : ''}`,
            )
            .join('\n'),
    problemsFound: false,
  };
}
