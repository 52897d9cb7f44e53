/** `gliss`: settings for a glissando on a chord, a scale or notes by name. */

import { NATURAL_SETTING } from '../harp/setting';
import type { Pitch } from '../music/pitch';
import { type GlissAsk, glissAnswer } from '../pedals/gliss-ask';
import { SHAPES, type Shape } from '../pedals/gliss-fingers';
import { shownGliss, sweepEnd, sweptContent, sweptNotes } from '../proposals/gliss-words';
import { type Parsed, UsageError, onePositional, optionText, parse, settingOption } from './args';
import type { Answer } from './output';
import { counted } from './problems';

const OPTIONS = {
  start: { type: 'string' },
  allow: { type: 'string' },
  from: { type: 'string' },
  to: { type: 'string' },
  fingers: { type: 'string' },
  shape: { type: 'string' },
  prefer: { type: 'string' },
  'no-crossing': { type: 'boolean' },
} as const;

function contentOf(text: string): number[] {
  const content = sweptContent(text);
  if (content !== null) return content;
  throw new UsageError(
    `“${text}” is neither a chord symbol such as E7 or Cm7b5 nor a scale such as “C whole tone” nor notes such as “C E G Bb”.`,
  );
}

/** `--allow "D A"` or a chord or scale: what may sound as well. */
function allowOption(parsed: Parsed): number[] {
  const given = optionText(parsed, 'allow');
  if (given === null) return [];
  return sweptNotes(given.trim()) ?? contentOf(given.trim());
}

/** `--from C4 --to Gb5`: both or neither. */
function endsOption(parsed: Parsed): NonNullable<GlissAsk['ends']> | null {
  const pitchOf = (name: 'from' | 'to'): Pitch | null => {
    const given = optionText(parsed, name);
    if (given === null) return null;
    const pitch = sweepEnd(given);
    if (pitch === null)
      throw new UsageError(`--${name} takes a pitch such as C4 or Eb5 (C4 is middle C), not “${given}”.`);
    return pitch;
  };
  const [from, to] = [pitchOf('from'), pitchOf('to')];
  if (from === null && to === null) return null;
  if (from === null || to === null) throw new UsageError('Give --from and --to together.');
  return { from, to };
}

/** `--fingers 2 --shape sixths`; null for one finger. */
function fingersOption(parsed: Parsed): { fingers: 1 | 2 | 3; shape: Shape | null } {
  const name = optionText(parsed, 'shape');
  const shape = name === null ? null : (SHAPES.find((s) => s.name === name) ?? null);
  if (name !== null && shape === null)
    throw new UsageError(`--shape is one of ${SHAPES.map((s) => s.name).join(', ')}, not “${name}”.`);
  const given = optionText(parsed, 'fingers') ?? String(shape?.fingers ?? 1);
  if (!/^[123]$/.test(given)) throw new UsageError(`--fingers is 1, 2 or 3, not “${given}”.`);
  const fingers = Number(given) as 1 | 2 | 3;
  if (shape !== null && shape.fingers !== fingers)
    throw new UsageError(`--shape ${shape.name} takes ${shape.fingers} fingers, not ${fingers}.`);
  return { fingers, shape };
}

export function glissCall(args: readonly string[]): Answer {
  const parsed = parse(args, OPTIONS);
  const text = onePositional(parsed, 'one chord symbol or scale in quotes, such as "E7"');
  const content = contentOf(text.trim());
  const { fingers, shape } = fingersOption(parsed);
  // Between two ends the shape decides which letters are touched; over whole octaves every shape is told.
  const ends = endsOption(parsed);
  const prefer = optionText(parsed, 'prefer') ?? 'purity';
  if (prefer !== 'purity' && prefer !== 'coverage')
    throw new UsageError(`--prefer is purity or coverage, not “${prefer}”.`);
  const answer = glissAnswer({
    content,
    allowed: allowOption(parsed),
    ends,
    shape: shape ?? (ends === null ? null : (SHAPES.find((s) => s.fingers === fingers) ?? null)),
    standing: settingOption(parsed, 'start') ?? NATURAL_SETTING,
    crossing: parsed.values['no-crossing'] !== true,
    prefer,
  });
  if (answer.outOfRange)
    throw new UsageError('The harp has no strings from --from to --to for these fingers.');
  const settings = answer.settings.map((s) => shownGliss(s, content, fingers));
  const nearest = answer.nearest.map((s) => shownGliss(s, content, fingers));
  const line = (s: ReturnType<typeof shownGliss>): string =>
    `${s.text}   ${counted(s.moves, 'move', 'moves')}${s.message === 'Nothing else sounds.' ? '' : ` · ${s.message}`}`;
  return {
    json: { settings, nearest },
    text:
      settings.length === 0
        ? [
            `No setting of the seven pedals sounds exactly ${text}. The nearest:`,
            ...nearest.map((s) => `${s.text}   ${s.message}`),
          ].join('\n')
        : settings.map(line).join('\n'),
    problemsFound: false,
  };
}
