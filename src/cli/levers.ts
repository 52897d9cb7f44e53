/** `pedals FILE --harp lever34`: the lever plan for a part, in place of a pedal plan. */

import type { LeverHarp } from '../harp/instrument';
import { settingName, keySetting } from '../harp/setting';
import { stringLetter } from '../harp/strings';
import { barAndBeat } from '../music/metre';
import type { Passage } from '../music/passage';
import { tempoMap } from '../music/tempo';
import { defaultLeverOptions, planLevers } from '../pedals/lever-plan';
import { openPosition } from '../pedals/lever-types';
import { assignHands } from '../playability/hands';
import { sentence } from '../playability/sentences';
import { leverSound, leversUp } from '../proposals/lever-words';
import { shownSeconds } from './args';
import type { Answer } from './output';
import { counted, shownBeat, shownProblem } from './problems';

/** The answer of the call, in the keys of a pedal plan; `string` counts strings from C1. */
export function leverAnswer(part: Passage, harp: LeverHarp, keepSpelling: boolean): Answer {
  const passage = assignHands(part);
  const answer = planLevers(passage, { ...defaultLeverOptions, harp, keepSpelling });
  const problems = answer.problems.map((p) => shownProblem(p, passage.bars));
  if (answer.status === 'unplayable') {
    const place = (id: string) => {
      const at = [...passage.plucks, ...passage.sweeps].find((x) => x.id === id)?.onset;
      const found = at === undefined ? null : barAndBeat(passage.bars, at);
      return { id, bar: found?.bar ?? null, beat: found === null ? null : shownBeat(found.beat) };
    };
    return {
      json: {
        status: answer.status,
        harp: harp.id,
        start: {},
        moves: [],
        pedalMoves: null,
        lowerBound: null,
        optimal: false,
        conflict: answer.conflict.map(place),
        problems,
      },
      text: [
        'No lever plan: these notes cannot all be played.',
        ...answer.problems.map((p) => `  ${sentence(p, passage.bars)}`),
      ].join('\n'),
      problemsFound: true,
    };
  }
  const map = tempoMap(passage.tempo);
  const moves = answer.plan.moves.map((m) => {
    const { bar, beat } = barAndBeat(passage.bars, m.onset);
    return {
      bar,
      beat: shownBeat(beat),
      seconds: shownSeconds(map.secondsAt(m.onset)),
      string: m.string,
      letter: stringLetter(m.string),
      from: openPosition(harp, m.string) + (1 - m.to),
      to: openPosition(harp, m.string) + m.to,
      sounds: leverSound(harp, m.string, m.to),
      hand: 'left',
    };
  });
  const up = leversUp(answer.plan);
  return {
    json: {
      status: answer.status,
      harp: harp.id,
      start: { tuning: settingName(keySetting(harp.levers)), raised: answer.plan.start, sounds: up },
      moves,
      pedalMoves: 0,
      leverMoves: answer.price.moves,
      respelt: answer.price.respelt,
      lowerBound: answer.lowerBound,
      optimal: answer.status === 'optimal',
      problems,
    },
    text: [
      up.length === 0 ? 'All levers down.' : `Levers up at first: ${up.join(' ')}`,
      ...moves.map((m) => `bar ${m.bar}, beat ${m.beat}  ${m.sounds}  (left hand)`),
      `${counted(answer.price.moves, 'lever move', 'lever moves')}; no plan of this part can have fewer than ${answer.lowerBound}.`,
    ].join('\n'),
    problemsFound: false,
  };
}
