/** `two-harps`: a part divided between two harps, each with its own plan. */

import { settingName, unpackSetting } from '../harp/setting';
import { writeMidi } from '../interchange/midi-write';
import { writeMusicXml } from '../interchange/musicxml-write';
import { spellingName } from '../music/pitch';
import { defaultPlanOptions } from '../pedals/plan';
import { sentence } from '../playability/sentences';
import { type HarpPart, twoHarps } from '../proposals/two-harps';
import {
  LIMITED,
  WHY_NOT,
  acrossWords,
  movesWords,
  savingWords,
  wayWords,
} from '../proposals/two-harps-words';
import { UsageError, aimOption, optionText, parse } from './args';
import { writeInto } from './files';
import { harpOption } from './harp-option';
import { shownMoves } from './moves';
import type { Answer } from './output';
import { PART_OPTIONS, partOption } from './part-options';
import { shownProblem } from './problems';

const OPTIONS = {
  ...PART_OPTIONS,
  aim: { type: 'string' },
  harp: { type: 'string' },
  out: { type: 'string' },
} as const;

const fileName = (harp: number, suffix: string): string => `harp-${harp + 1}.${suffix}`;

export function twoHarpsCall(args: readonly string[]): Answer {
  const parsed = parse(args, OPTIONS);
  const [aim, instrument] = [aimOption(parsed), harpOption(parsed)];
  if ('levers' in instrument)
    throw new UsageError('Two lever harps are not divided here; give --harp 47, 46, 44 or 40.');
  const { passage } = partOption(parsed, 'to divide');
  const answer = twoHarps(passage, { ...defaultPlanOptions, aim, instrument });
  const chosen = answer.best ?? answer.splits[0] ?? null;
  const folder = optionText(parsed, 'out');
  if (folder !== null && chosen !== null)
    writeInto(
      folder,
      chosen.harps.flatMap((h, i) => [
        { name: fileName(i, 'musicxml'), bytes: writeMusicXml(h.planned) },
        { name: fileName(i, 'mid'), bytes: writeMidi(h.planned) },
      ]),
    );
  const shownHarp = (h: HarpPart, i: number) => ({
    name: i === 0 ? 'Harp I' : 'Harp II',
    notes: h.planned.passage.plucks.length,
    start: unpackSetting(h.planned.start),
    moves: shownMoves(h.planned),
    pedalMoves: h.price.moves,
    lowerBound: h.lowerBound,
    optimal: h.optimal,
    warnings: h.warnings.map((p) => shownProblem(p, passage.bars)),
    musicxml: folder === null ? null : fileName(i, 'musicxml'),
    midi: folder === null ? null : fileName(i, 'mid'),
  });
  const one = {
    status: answer.one.status,
    pedalMoves: answer.one.status === 'unplayable' ? null : answer.one.price.moves,
    errors: answer.errors,
    problems: answer.one.problems.map((p) => shownProblem(p, passage.bars)),
  };
  const lines = [
    answer.one.status === 'unplayable'
      ? `One harp: no pedal plan. ${answer.one.problems.map((p) => sentence(p, passage.bars)).join(' ')}`
      : `One harp: ${movesWords(answer.one.price.moves)}${answer.errors > 0 ? `, and ${answer.errors} places that no hands can play` : ''}.`,
  ];
  if (chosen === null) lines.push('No division between two harps helps.');
  else {
    if (answer.best === null) lines.push('Two harps would not be cheaper; the cheapest division:');
    lines.push(
      `Two harps, ${wayWords(chosen.way)}${acrossWords(chosen)}: ${movesWords(chosen.moves)}; ${savingWords(chosen)}.`,
    );
    chosen.harps.forEach((h, i) => {
      lines.push(`${i === 0 ? 'Harp I' : 'Harp II'}: set ${settingName(h.planned.start)}`);
      for (const m of shownMoves(h.planned))
        lines.push(`  bar ${m.bar}, beat ${m.beat}  ${spellingName(m.letter, m.to)}  (${m.foot} foot)`);
    });
    for (const s of answer.splits.slice(1, 4))
      lines.push(`Or ${wayWords(s.way)}${acrossWords(s)}: ${movesWords(s.moves)}.`);
    if (folder !== null) lines.push(`Both parts are in ${folder}. A harpist's word outranks this program's.`);
  }
  if (answer.limited) lines.push(LIMITED);
  return {
    json: {
      one,
      limited: answer.limited,
      way: chosen === null ? null : { ...chosen.way, text: wayWords(chosen.way) },
      pays: answer.best !== null,
      pedalMoves: chosen?.moves ?? null,
      points: chosen?.points ?? null,
      saves: chosen?.saves ?? null,
      harps: chosen?.harps.map(shownHarp) ?? [],
      splits: answer.splits.map((s) => ({
        ...s.way,
        text: wayWords(s.way),
        across: s.across,
        pedalMoves: s.moves,
        points: s.points,
      })),
      refused: answer.refused.map((r) => ({ ...r.way, text: wayWords(r.way), why: WHY_NOT[r.why] })),
    },
    text: lines.join('\n'),
    problemsFound: chosen === null && (answer.one.status === 'unplayable' || answer.errors > 0),
  };
}
