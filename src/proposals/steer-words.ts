/** The list in words: how it is ranked, what was refused, which limit to lift, which bars are not kept. */

import type { DroppedBar, LimitReport, Rejection, SteeringLimit } from './types';

/**
 * What the order of the list is by, in truth: the whole price, of pedal work, warnings, lost tones and craft; families
 * mixed. It is no order of difficulty, which is a word of its own.
 */
export const RANKED = 'cheapest first: the fewest pedals, warnings and grumbles';

const drafts = (n: number): string => `${n} ${n === 1 ? 'draft' : 'drafts'}`;
const proposals = (n: number): string => `${n} ${n === 1 ? 'proposal' : 'proposals'}`;

/** 'Refused: 1 draft that a harpist could not play or that does not suit'. */
export const refusedHeading = (rejected: readonly Rejection[]): string =>
  rejected.length === 1
    ? 'Refused: 1 draft that a harpist could not play or that does not suit'
    : `Refused: ${rejected.length} drafts that a harpist could not play or that do not suit`;

/** Each limit as it is called in a sentence. */
export const LIMIT_WORDS: Readonly<Record<SteeringLimit, string>> = {
  density: 'the density',
  register: 'the register',
  hardest: 'the hardest difficulty',
  mostMoves: 'the most pedal moves',
  unlike: 'what is to be kept away from',
  keep: 'the kept bars',
  locked: 'the pedals left alone',
  end: 'the setting at the end',
  keepSpelling: 'the spelling that is kept',
  times: 'the speed of the feet',
  slides: 'the pedal slides',
  start: 'the setting at the start',
  families: 'the choice of figures',
};

/** Limits that are spoken of in the plural. */
const MANY: ReadonlySet<SteeringLimit> = new Set(['keep', 'locked', 'slides']);

/** 'The density refused 31 drafts; without it there are 24 proposals.' */
export function limitSentence({ limit, refused, back }: LimitReport): string {
  const name = LIMIT_WORDS[limit];
  const head = `${name[0]?.toUpperCase() ?? ''}${name.slice(1)}`;
  const stopped = refused > 0 ? `${head} refused ${drafts(refused)}` : '';
  if (back === null) return stopped === '' ? '' : `${stopped}.`;
  const without =
    back === 0
      ? `nothing comes back without ${MANY.has(limit) ? 'them' : 'it'} alone`
      : `without ${MANY.has(limit) ? 'them' : 'it'} there ${back === 1 ? 'is' : 'are'} ${proposals(back)}`;
  return stopped === '' ? `${head}: ${without}.` : `${stopped}; ${without}.`;
}

/** The limit whose lifting brings most back; null where none does. Of equals the first. */
export function bestToLift(limits: readonly LimitReport[]): LimitReport | null {
  return limits.reduce<LimitReport | null>((best, l) => ((l.back ?? 0) > (best?.back ?? 0) ? l : best), null);
}

/** Bars as a list of runs: '3–5 and 8'. */
function runs(bars: readonly number[]): string {
  const out: [number, number][] = [];
  for (const b of bars) {
    const last = out.at(-1);
    if (last !== undefined && last[1] + 1 === b) last[1] = b;
    else out.push([b, b]);
  }
  const words = out.map(([a, b]) => (a === b ? `${a}` : `${a}–${b}`));
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}

const WHY: Readonly<Record<DroppedBar['why'], readonly [one: string, many: string]>> = {
  chords: ['its chords have changed', 'their chords have changed'],
  'past-end': ['it is past the end', 'they are past the end'],
  unplayable: [
    'its figure cannot be played on these chords',
    'their figure cannot be played on these chords',
  ],
};

/** 'Bars 3–4 are not kept: their chords have changed.' One sentence a reason. */
export function droppedSentences(dropped: readonly DroppedBar[]): string[] {
  return (['chords', 'past-end', 'unplayable'] as const).flatMap((why) => {
    const bars = dropped.filter((d) => d.why === why).map((d) => d.bar);
    const [first] = bars;
    if (first === undefined) return [];
    return bars.length === 1
      ? [`Bar ${first} is not kept: ${WHY[why][0]}.`]
      : [`Bars ${runs(bars)} are not kept: ${WHY[why][1]}.`];
  });
}
