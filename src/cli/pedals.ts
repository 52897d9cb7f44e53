/** `pedals`: the cheapest pedal plan for a part. */

import { basename, dirname } from 'node:path';
import { ok } from '../base/result';
import { NATURAL_SETTING, settingName, unpackSetting } from '../harp/setting';
import { barAndBeat } from '../music/metre';
import type { Passage } from '../music/passage';
import { spellingName } from '../music/pitch';
import { forcedBars, forcedSentence } from '../pedals/forced';
import { defaultPlanOptions, planPassage } from '../pedals/plan';
import type { PlanOptions } from '../pedals/types';
import { wayOutWords } from '../proposals/way-out-words';
import { sentence } from '../playability/sentences';
import { planFile } from '../proposals/mend/plan-file';
import { type NoteFix, withNoteFixes } from '../proposals/note-fix';
import { type NoteSlide, withNoteSlides } from '../proposals/note-slide';
import { INCOMPLETE, neighbourLine, shownNeighbour } from '../proposals/neighbour-words';
import { nearby } from '../proposals/neighbours';
import { UsageError, aimOption, parse, settingOption } from './args';
import { outOption, readBytes, writeInto } from './files';
import { harpOption } from './harp-option';
import { shownMoves } from './moves';
import { leverAnswer } from './levers';
import type { Answer } from './output';
import { PART_OPTIONS, partOption, readOptions } from './part-options';
import {
  PLAN_OPTIONS,
  fixOption,
  footTimesOption,
  harpKeyOption,
  lockOption,
  slideOption,
} from './pedals-options';
import { counted, isSevere, shownBeat, shownProblem } from './problems';

const OPTIONS = {
  ...PART_OPTIONS,
  ...PLAN_OPTIONS,
  aim: { type: 'string' },
  harp: { type: 'string' },
  out: { type: 'string' },
} as const;

/** The part with the spellings that are fixed; a fix that names no note is bad input. */
function withFixes(passage: Passage, fixes: readonly NoteFix[] | null): Passage {
  const fixed = fixes === null ? ok(passage) : withNoteFixes(passage, fixes);
  if (fixed.ok) return fixed.value;
  throw new UsageError(`--fix: ${fixed.problems[0]}`);
}

/** The part with the pedal slides that are asked for. */
function withSlides(passage: Passage, slides: readonly NoteSlide[] | null): Passage {
  const slid = slides === null ? ok(passage) : withNoteSlides(passage, slides);
  if (slid.ok) return slid.value;
  throw new UsageError(`--slide: ${slid.problems[0]}`);
}

export function pedalsCall(args: readonly string[]): Answer {
  const parsed = parse(args, OPTIONS);
  const aim = aimOption(parsed);
  const start = settingOption(parsed, 'start');
  const end = settingOption(parsed, 'end');
  const times = footTimesOption(parsed);
  const fifths = harpKeyOption(parsed);
  const instrument = harpOption(parsed);
  const fixes = fixOption(parsed);
  const slides = slideOption(parsed);
  const file = outOption(parsed);
  const read = partOption(parsed, 'to plan the pedals for');
  const passage = withSlides(withFixes(read.passage, fixes), slides);
  const keepSpelling = parsed.values['keep-spelling'] === true;
  if ('levers' in instrument && file !== null)
    throw new UsageError(
      'The plan of levers is told, not written: leave --out away, or give --harp 47, 46, 44 or 40.',
    );
  if ('levers' in instrument && slides !== null)
    throw new UsageError('--slide is for pedals: the left hand that would move a lever is not a foot.');
  if ('levers' in instrument) return leverAnswer(passage, instrument, keepSpelling);
  const locked = lockOption(parsed, start, end, fifths ?? passage.fifths);
  const options: PlanOptions = {
    ...defaultPlanOptions,
    ...{ aim, start, end, keepSpelling, times, instrument },
    ...(fifths === null ? {} : { fifths }),
    ...(locked === null ? {} : { locked }),
    ...(parsed.values['emergencies'] === true ? { emergencies: true } : {}),
    ...(parsed.values['must-settle'] === true ? { mustSettle: true } : {}),
  };
  const answer = planPassage(passage, options);
  const problems = answer.problems.map((p) => shownProblem(p, passage.bars));
  const near = nearby(passage, options, answer);
  const cheaper = near.found.map((n) => shownNeighbour(n, passage.bars));
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
        ...answer.ways.map((way) => `  ${wayOutWords(way, passage)}`),
        ...cheaper.map((n) => `  Tried: ${neighbourLine(n)}`),
      ].join('\n'),
      problemsFound: true,
    };
  }
  const moves = shownMoves(answer.planned);
  const forced = forcedBars(passage, options);
  if (file !== null) {
    const { transpose, harmonics } = readOptions(parsed);
    const anew = transpose === 'apply' ? { ...read, sources: new Map() } : read;
    const how = { kind: file.kind, ...(harmonics === undefined ? {} : { harmonics }) };
    const bytes = planFile(readBytes(read.path), anew, answer.planned, how);
    writeInto(dirname(file.path), [{ name: basename(file.path), bytes }]);
  }
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
      forced,
      neighbours: cheaper,
      everyPlace: near.complete,
      file: file?.path ?? null,
    },
    text: [
      `Set ${settingName(answer.planned.start)}`,
      ...moves.map((m) => `bar ${m.bar}, beat ${m.beat}  ${spellingName(m.letter, m.to)}  (${m.foot} foot)`),
      `${counted(answer.price.moves, 'move', 'moves')}; no plan of this part can have fewer than ${answer.lowerBound}.`,
      ...(forced.length === 0 ? [] : [forcedSentence(forced)]),
      ...answer.problems.map((p) => sentence(p, passage.bars)),
      ...(cheaper.length === 0 ? [] : ['Small changes that would save moves:']),
      ...cheaper.map((n) => `  ${neighbourLine(n)}`),
      ...(near.complete ? [] : [INCOMPLETE]),
      ...(file === null ? [] : [`${file.path}: the part with this plan in it.`]),
    ].join('\n'),
    problemsFound: isSevere(answer.problems),
  };
}
