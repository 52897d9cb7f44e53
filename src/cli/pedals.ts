/** `pedals`: the cheapest pedal plan for a part. */

import { type Ticks } from '../base/units';
import { NATURAL_SETTING, settingName, unpackSetting } from '../harp/setting';
import { barAndBeat } from '../music/metre';
import type { Passage } from '../music/passage';
import { spellingName } from '../music/pitch';
import { defaultPlanOptions, planPassage } from '../pedals/plan';
import type { PlanOptions } from '../pedals/types';
import { sentence } from '../playability/sentences';
import { neighbourLine, shownNeighbour } from '../proposals/neighbour-words';
import { neighbours } from '../proposals/neighbours';
import {
  UsageError,
  aimOption,
  onePositional,
  parse,
  settingOption,
  tempoOption,
  READ_OPTIONS,
  readOptions,
} from './args';
import { readPartFile } from './files';
import { harpOption } from './harp-option';
import { shownMoves } from './moves';
import { leverAnswer } from './levers';
import type { Answer } from './output';
import { footTimesOption, harpKeyOption, lockOption } from './pedals-options';
import { isSevere, shownBeat, shownProblem } from './problems';

const OPTIONS = {
  ...READ_OPTIONS,
  aim: { type: 'string' },
  start: { type: 'string' },
  end: { type: 'string' },
  'keep-spelling': { type: 'boolean' },
  tempo: { type: 'string' },
  lock: { type: 'string' },
  'foot-times': { type: 'string' },
  'harp-key': { type: 'string' },
  emergencies: { type: 'boolean' },
  harp: { type: 'string' },
} as const;

/** The same passage at one tempo throughout. */
export const atTempo = (passage: Passage, milliBpm: number | null): Passage =>
  milliBpm === null ? passage : { ...passage, tempo: [{ onset: 0 as Ticks, milliBpm }] };

export function pedalsCall(args: readonly string[]): Answer {
  const parsed = parse(args, OPTIONS);
  const path = onePositional(parsed, 'one file: .musicxml, .xml, .mxl or .mid');
  const aim = aimOption(parsed);
  const start = settingOption(parsed, 'start');
  const end = settingOption(parsed, 'end');
  const tempo = tempoOption(parsed);
  const times = footTimesOption(parsed);
  const fifths = harpKeyOption(parsed);
  const instrument = harpOption(parsed);
  const read = readPartFile(path, readOptions(parsed));
  const passage = atTempo(read.passage, tempo);
  if (passage.plucks.length + passage.sweeps.length + passage.trembles.length === 0) {
    throw new UsageError(`“${path}”: the part has no notes; a pedal plan needs at least one.`);
  }
  const keepSpelling = parsed.values['keep-spelling'] === true;
  if ('levers' in instrument) return leverAnswer(passage, instrument, keepSpelling);
  const locked = lockOption(parsed, start, end, fifths ?? passage.fifths);
  const options: PlanOptions = {
    ...defaultPlanOptions,
    ...{ aim, start, end, keepSpelling, times, instrument },
    ...(fifths === null ? {} : { fifths }),
    ...(locked === null ? {} : { locked }),
    ...(parsed.values['emergencies'] === true ? { emergencies: true } : {}),
  };
  const answer = planPassage(passage, options);
  const problems = answer.problems.map((p) => shownProblem(p, passage.bars));
  const cheaper = neighbours(passage, options, answer).map((n) => shownNeighbour(n, passage.bars));
  if (answer.status === 'unplayable') {
    const byId = new Map(passage.plucks.map((p) => [p.id, p]));
    const conflict = answer.conflict.map((id) => {
      const pluck = byId.get(id);
      const place = pluck === undefined ? null : barAndBeat(passage.bars, pluck.onset);
      return { id, bar: place?.bar ?? null, beat: place === null ? null : shownBeat(place.beat) };
    });
    return {
      json: {
        status: answer.status,
        start: unpackSetting(start ?? NATURAL_SETTING),
        moves: [],
        pedalMoves: null,
        lowerBound: null,
        optimal: false,
        conflict,
        ways: answer.ways,
        problems,
        neighbours: cheaper,
      },
      text: [
        'No pedal plan: these notes cannot all be played.',
        ...answer.problems.map((p) => `  ${sentence(p, passage.bars)}`),
        ...cheaper.map((n) => `  Tried: ${neighbourLine(n)}`),
      ].join('\n'),
      problemsFound: true,
    };
  }
  const moves = shownMoves(answer.planned);
  return {
    json: {
      status: answer.status,
      start: unpackSetting(answer.planned.start),
      moves,
      pedalMoves: answer.price.moves,
      lowerBound: answer.lowerBound,
      leastPoints: answer.leastPoints,
      optimal: answer.status === 'optimal',
      price: answer.price,
      problems,
      neighbours: cheaper,
    },
    text: [
      `Set ${settingName(answer.planned.start)}`,
      ...moves.map((m) => `bar ${m.bar}, beat ${m.beat}  ${spellingName(m.letter, m.to)}  (${m.foot} foot)`),
      `${answer.price.moves} moves; no plan of this part can have fewer than ${answer.lowerBound}.`,
      ...answer.problems.map((p) => sentence(p, passage.bars)),
      ...(cheaper.length === 0 ? [] : ['Small changes that would save moves:']),
      ...cheaper.map((n) => `  ${neighbourLine(n)}`),
    ].join('\n'),
    problemsFound: isSevere(answer.problems),
  };
}
