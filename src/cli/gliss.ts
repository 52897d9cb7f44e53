/** `gliss`: settings for a glissando on a chord, a scale or notes by name. */

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
import { stringName } from '../harp/strings';
import { type Alter, type Pitch, LETTERS, harpSpellings, pitchClass, spellingName } from '../music/pitch';
import { type GlissAsk, type GlissFound, coverage, glissAnswer } from '../pedals/gliss-ask';
import { SHAPES, type Shape, shapesUnder } from '../pedals/gliss-fingers';
import { type Parsed, UsageError, onePositional, optionText, parse, settingOption } from './args';
import type { Answer } from './output';

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

const NOTE = /^([A-Ga-g])([b♭#♯n♮]?)$/;
const ALTERS: Readonly<Record<string, Alter>> = { b: -1, '♭': -1, '#': 1, '♯': 1 };

function noteClass(word: string): number | null {
  const [, name = '', sign = ''] = NOTE.exec(word) ?? [];
  const letter = LETTERS.find((l) => l === name.toUpperCase());
  return letter === undefined ? null : pitchClass(letter, ALTERS[sign] ?? 0);
}

/** Pitch classes of notes by name, 'C E G B♭'; null where some word is no note. */
function notesOf(text: string): number[] | null {
  const pcs = text
    .split(/[\s,|/]+/)
    .filter((w) => w !== '')
    .map(noteClass);
  return pcs.length === 0 || pcs.some((pc) => pc === null) ? null : [...new Set(pcs as number[])];
}

/** Pitch classes of a chord symbol, its slash bass included, of a scale's name, or of two and more notes. */
function contentOf(text: string): number[] {
  const named = /[\s,]/.test(text) ? notesOf(text) : null;
  if (named !== null) return named;
  const chord = parseChord(text);
  if (chord.ok) {
    const { tones, bass } = chord.value;
    const under = bass === null ? [] : [pitchClass(bass.letter, bass.alter)];
    return [...new Set([...under, ...tones.map((t) => t.pc)])];
  }
  const scale = parseScale(text);
  if (scale !== null) return scale.map((t) => t.pc);
  throw new UsageError(
    `“${text}” is neither a chord symbol such as E7 or Cm7b5 nor a scale such as “C whole tone” nor notes such as “C E G Bb”.`,
  );
}

/** `--allow "D A"` or a chord or scale: what may sound as well. */
function allowOption(parsed: Parsed): number[] {
  const given = optionText(parsed, 'allow');
  if (given === null) return [];
  return notesOf(given.trim()) ?? contentOf(given.trim());
}

/** `--from C4 --to Gb5`: both or neither. */
function endsOption(parsed: Parsed): NonNullable<GlissAsk['ends']> | null {
  const pitchOf = (name: 'from' | 'to'): Pitch | null => {
    const given = optionText(parsed, name);
    if (given === null) return null;
    const [, letter = '', sign = '', octave = ''] = /^\s*([A-Ga-g])([b♭#♯]?)([1-7])\s*$/.exec(given) ?? [];
    const at = LETTERS.find((l) => l === letter.toUpperCase());
    if (at === undefined)
      throw new UsageError(`--${name} takes a pitch such as C4 or Eb5 (C4 is middle C), not “${given}”.`);
    return { letter: at, alter: ALTERS[sign] ?? 0, octave: Number(octave) };
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

/** A pitch class as the setting's strings spell it, or by its plainest name where no string has it. */
function spelt(pc: number, setting: Setting | null): string {
  const letter =
    setting === null ? undefined : PEDALS.find((l) => pitchClass(l, positionOf(setting, l)) === pc);
  if (letter !== undefined && setting !== null) return spellingName(letter, positionOf(setting, letter));
  const pitch = harpSpellings(60 + pc)[0] as Pitch;
  return spellingName(pitch.letter, pitch.alter);
}

const CROSSES = 'crosses: one string sounds below its lower neighbour';

/** A setting with what else sounds, what is missing, and what several fingers sound. */
function shown(s: GlissFound, content: readonly number[], fingers: 1 | 2 | 3) {
  const also = s.also.map((pc) => spelt(pc, s.setting));
  const foreign = s.foreign.map((pc) => spelt(pc, s.setting));
  const missing = s.missing.map((pc) => spelt(pc, null));
  const told = s.parallel === null ? [] : [s.parallel];
  const shapes = fingers === 1 ? [] : told.length > 0 ? told : shapesUnder(s.setting, fingers);
  const strings = s.from === null || s.to === null ? null : [stringName(s.from), stringName(s.to)];
  const words = [
    ...(strings === null ? [] : [`from the ${strings.join(' to the ')} string`]),
    ...(also.length > 0 ? [`also sounds ${also.join(', ')}, as allowed`] : []),
    ...(foreign.length > 0 ? [`also sounds ${foreign.join(', ')}`] : []),
    ...(missing.length > 0 ? [`lacks ${missing.join(', ')}`] : []),
    ...(s.crosses ? [CROSSES] : []),
    ...shapes.map(
      (p) => `${p.shape}: ${p.sounds.map((x) => (p.uniform ? x.name : `${x.name} ×${x.times}`)).join(', ')}`,
    ),
  ];
  return {
    ...unpackSetting(s.setting),
    exact: s.exact,
    crosses: s.crosses,
    moves: s.moves,
    text: settingName(s.setting),
    also,
    foreign,
    missing,
    coverage: coverage(s, content),
    doubled: s.doubled,
    ...(strings === null ? {} : { from: strings[0], to: strings[1] }),
    ...(fingers === 1 ? {} : { shapes }),
    message: words.length === 0 ? 'Nothing else sounds.' : `${words.join('; ')}.`,
  };
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
  const settings = answer.settings.map((s) => shown(s, content, fingers));
  const nearest = answer.nearest.map((s) => shown(s, content, fingers));
  const line = (s: ReturnType<typeof shown>): string =>
    `${s.text}   ${s.moves} moves${s.message === 'Nothing else sounds.' ? '' : ` · ${s.message}`}`;
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
