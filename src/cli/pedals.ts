/** `pedals`: the cheapest pedal plan for a part. */

import { NATURAL_SETTING, settingName, unpackSetting } from '../harp/setting';
import { barAndBeat } from '../music/metre';
import { spellingName } from '../music/pitch';
import { defaultPlanOptions, planPassage } from '../pedals/plan';
import type { PlanOptions } from '../pedals/types';
import { sentence } from '../playability/sentences';
import { neighbourLine, shownNeighbour } from '../proposals/neighbour-words';
import { neighbours } from '../proposals/neighbours';
import { aimOption, parse, settingOption } from './args';
import { harpOption } from './harp-option';
import { shownMoves } from './moves';
import { leverAnswer } from './levers';
import type { Answer } from './output';
import { PART_OPTIONS, partOption } from './part-options';
import { footTimesOption, harpKeyOption, lockOption } from './pedals-options';
import { counted, isSevere, shownBeat, shownProblem } from './problems';

const OPTIONS = {
  ...PART_OPTIONS,
  aim: { type: 'string' },
  start: { type: 'string' },
  end: { type: 'string' },
  'keep-spelling': { type: 'boolean' },
  lock: { type: 'string' },
  'foot-times': { type: 'string' },
  'harp-key': { type: 'string' },
  emergencies: { type: 'boolean' },
  harp: { type: 'string' },
} as const;

export function pedalsCall(args: readonly string[]): Answer {
  const parsed = parse(args, OPTIONS);
  const aim = aimOption(parsed);
  const start = settingOption(parsed, 'start');
  const end = settingOption(parsed, 'end');
  const times = footTimesOption(parsed);
  const fifths = harpKeyOption(parsed);
  const instrument = harpOption(parsed);
  const { passage } = partOption(parsed, 'to plan the pedals for');
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
      `${counted(answer.price.moves, 'move', 'moves')}; no plan of this part can have fewer than ${answer.lowerBound}.`,
      ...answer.problems.map((p) => sentence(p, passage.bars)),
      ...(cheaper.length === 0 ? [] : ['Small changes that would save moves:']),
      ...cheaper.map((n) => `  ${neighbourLine(n)}`),
    ].join('\n'),
    problemsFound: isSevere(answer.problems),
  };
}
