/** `gliss`: settings that sound only one chord or scale. */

import { parseChord } from '../harmony/chord';
import { parseScale } from '../harmony/scales';
import { NATURAL_SETTING, settingName, unpackSetting } from '../harp/setting';
import { glissSettings } from '../pedals/glissando';
import { UsageError, onePositional, parse, settingOption } from './args';
import type { Answer } from './output';

/** Pitch classes of a chord symbol or a scale's name. */
function contentOf(text: string): number[] {
  const chord = parseChord(text);
  if (chord.ok) {
    const { tones, bass } = chord.value;
    void bass;
    return [...new Set(tones.map((t) => t.pc))];
  }
  const scale = parseScale(text);
  if (scale !== null) return scale.map((t) => t.pc);
  throw new UsageError(
    `“${text}” is neither a chord symbol such as E7 or Cm7b5 nor a scale such as “C whole tone” or “A harmonic minor”.`,
  );
}

export function glissCall(args: readonly string[]): Answer {
  const parsed = parse(args, { start: { type: 'string' } });
  const text = onePositional(parsed, 'one chord symbol or scale in quotes, such as "E7"');
  const from = settingOption(parsed, 'start') ?? NATURAL_SETTING;
  const settings = glissSettings(contentOf(text.trim()), from);
  return {
    json: {
      settings: settings.map((s) => ({
        ...unpackSetting(s.setting),
        exact: s.exact,
        crosses: s.crosses,
        moves: s.moves,
        text: settingName(s.setting),
      })),
    },
    text:
      settings.length === 0
        ? `No setting of the seven pedals sounds only ${text}.`
        : settings
            .map(
              (s) =>
                `${settingName(s.setting)}   ${s.moves} moves${s.crosses ? ' · crosses: one string sounds below its lower neighbour' : ''}`,
            )
            .join('\n'),
    problemsFound: false,
  };
}
