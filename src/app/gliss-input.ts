/** A glissando that the user looks for, as plain data with a schema; what it asks; what is found as a sheet. */

import * as v from 'valibot';
import { ticks } from '../base/units';
import { CONCERT_HARP } from '../harp/instrument';
import type { PlannedPassage } from '../harp/planned';
import { NATURAL_SETTING, SETTING_COUNT, settingName } from '../harp/setting';
import { barTicks, makeBars } from '../music/metre';
import type { Sweep } from '../music/passage';
import { type GlissAnswer, type GlissAsk, type GlissFound, glissAnswer } from '../pedals/gliss-ask';
import { SHAPES, type Shape } from '../pedals/gliss-fingers';
import { sweepEnd, sweptContent, sweptNotes } from '../proposals/gliss-words';
import type { Sheet } from './sheet';

const words = v.pipe(v.string(), v.maxLength(200));

export const glissSchema = v.object({
  /** A chord symbol, a scale or notes by name. */
  text: words,
  /** What may sound as well: notes, a chord or a scale; empty for nothing. */
  allow: words,
  /** Ends of the lowest finger's sweep, 'C4'; both empty for whole octaves. */
  from: words,
  to: words,
  /** A shape's name; empty for one finger. */
  shape: v.picklist(['', ...SHAPES.map((s) => s.name)]),
  /** The setting from which moves are counted. */
  standing: v.pipe(v.number(), v.integer(), v.minValue(0), v.maxValue(SETTING_COUNT - 1)),
  prefer: v.picklist(['purity', 'coverage']),
  /** Settings in which a string sounds below its lower neighbour are left out. */
  rising: v.boolean(),
});
export type GlissInput = Readonly<v.InferOutput<typeof glissSchema>>;

export const FIRST_GLISS: GlissInput = {
  text: 'E7',
  allow: '',
  from: '',
  to: '',
  shape: '',
  standing: NATURAL_SETTING,
  prefer: 'purity',
  rising: false,
};

export type GlissField = 'text' | 'allow' | 'ends';
export type GlissReply =
  | { readonly kind: 'empty' }
  | { readonly kind: 'fault'; readonly field: GlissField; readonly sentence: string }
  | {
      readonly kind: 'answer';
      readonly content: readonly number[];
      readonly shape: Shape | null;
      readonly answer: GlissAnswer;
    };

const shapeOf = (name: string): Shape | null => SHAPES.find((s) => s.name === name) ?? null;

function endsOf({ from, to }: GlissInput): GlissAsk['ends'] | string {
  if (from.trim() === '' && to.trim() === '') return null;
  if (from.trim() === '' || to.trim() === '') return 'Give both ends, or neither for whole octaves.';
  const [a, b] = [sweepEnd(from), sweepEnd(to)];
  if (a === null || b === null)
    return `“${(a === null ? from : to).trim()}” is no pitch: write C4 or Eb5, where C4 is middle C.`;
  return { from: a, to: b };
}

/** What is found for the input, or what cannot be read in it. */
export function glissReply(input: GlissInput): GlissReply {
  const text = input.text.trim();
  if (text === '') return { kind: 'empty' };
  const unread = (field: GlissField, of: string): GlissReply => ({
    kind: 'fault',
    field,
    sentence: `“${of}” is neither a chord symbol such as E7 or Cm7b5, nor a scale such as “C whole tone”, nor notes such as “C E G Bb”.`,
  });
  const content = sweptContent(text);
  if (content === null) return unread('text', text);
  const allow = input.allow.trim();
  const allowed = allow === '' ? [] : (sweptNotes(allow) ?? sweptContent(allow));
  if (allowed === null) return unread('allow', allow);
  const ends = endsOf(input);
  if (typeof ends === 'string') return { kind: 'fault', field: 'ends', sentence: ends };
  const shape = shapeOf(input.shape);
  const answer = glissAnswer({
    content,
    allowed,
    ends: ends ?? null,
    shape,
    standing: input.standing,
    crossing: !input.rising,
    prefer: input.prefer,
  });
  if (answer.outOfRange)
    return {
      kind: 'fault',
      field: 'ends',
      sentence: 'The harp has no strings from the one end to the other for these fingers.',
    };
  return { kind: 'answer', content, shape, answer };
}

/** The sweep over whole octaves: C3 to C6. */
const [LOW, HIGH] = [14, 35] as const;

/** One bar of 4/4 at ♩ = 72, the sweep its first half: to be heard and taken away. */
export function glissSheet(title: string, found: GlissFound, shape: Shape | null): Sheet {
  const bars = makeBars({ beats: 4, unit: 4 }, 1);
  const [from, to] = [found.from ?? LOW, found.to ?? HIGH];
  const sweeps = (shape?.steps ?? [0]).map((step, i): Sweep => ({
    id: `sweep-${i + 1}`,
    onset: ticks(0),
    duration: barTicks({ beats: 2, unit: 4 }),
    hand: 'R',
    from: from + step,
    to: to + step,
    settings: [found.setting],
    dynamic: 'mf',
  }));
  const planned: PlannedPassage = {
    passage: {
      title: `Glissando ${title.trim()}`,
      bars,
      tempo: [{ onset: ticks(0), milliBpm: 72_000 }],
      fifths: 0,
      plucks: [],
      rolls: [],
      sweeps,
      trembles: [],
      chords: [],
      damps: [],
    },
    instrument: CONCERT_HARP,
    start: found.setting,
    moves: [],
    tuning: {},
  };
  return { planned, familyName: `Glissando ${title.trim()}`, family: settingName(found.setting) };
}
