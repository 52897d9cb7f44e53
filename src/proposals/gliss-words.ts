/** Glissandi as they are asked for and told in words. The page and the terminal say the same. */

import { parseChord } from '../harmony/chord';
import { parseScale } from '../harmony/scales';
import { PEDALS, type Setting, positionOf, settingName, unpackSetting } from '../harp/setting';
import { stringName } from '../harp/strings';
import { type Alter, type Pitch, LETTERS, harpSpellings, pitchClass, spellingName } from '../music/pitch';
import { type GlissFound, coverage } from '../pedals/gliss-ask';
import { shapesUnder } from '../pedals/gliss-fingers';

const NOTE = /^([A-Ga-g])([b♭#♯n♮]?)$/;
const ALTERS: Readonly<Record<string, Alter>> = { b: -1, '♭': -1, '#': 1, '♯': 1 };

function noteClass(word: string): number | null {
  const [, name = '', sign = ''] = NOTE.exec(word) ?? [];
  const letter = LETTERS.find((l) => l === name.toUpperCase());
  return letter === undefined ? null : pitchClass(letter, ALTERS[sign] ?? 0);
}

/** Pitch classes of notes by name, 'C E G B♭'; null where some word is no note. */
export function sweptNotes(text: string): number[] | null {
  const pcs = text
    .split(/[\s,|/]+/)
    .filter((w) => w !== '')
    .map(noteClass);
  return pcs.length === 0 || pcs.some((pc) => pc === null) ? null : [...new Set(pcs as number[])];
}

/** Pitch classes of a chord symbol, its slash bass included, of a scale's name, or of two and more notes; else null. */
export function sweptContent(text: string): number[] | null {
  const named = /[\s,]/.test(text) ? sweptNotes(text) : null;
  if (named !== null) return named;
  const chord = parseChord(text);
  if (chord.ok) {
    const { tones, bass } = chord.value;
    const under = bass === null ? [] : [pitchClass(bass.letter, bass.alter)];
    return [...new Set([...under, ...tones.map((t) => t.pc)])];
  }
  const scale = parseScale(text);
  return scale === null ? null : scale.map((t) => t.pc);
}

/** The end of a sweep by name, 'C4' or 'Eb5' (C4 is middle C); null where it is none. */
export function sweepEnd(text: string): Pitch | null {
  const [, letter = '', sign = '', octave = ''] = /^\s*([A-Ga-g])([b♭#♯]?)([1-7])\s*$/.exec(text) ?? [];
  const at = LETTERS.find((l) => l === letter.toUpperCase());
  return at === undefined ? null : { letter: at, alter: ALTERS[sign] ?? 0, octave: Number(octave) };
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

/** A setting with what else sounds, what is missing, and what several fingers sound; `message` says it. */
export function shownGliss(s: GlissFound, content: readonly number[], fingers: 1 | 2 | 3) {
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
