/** `check`: a harp part against every rule. */

import { checkPart } from '../proposals/check';
import { checkLevers } from '../proposals/check-levers';
import { checkReport } from '../proposals/report';
import { questionText, reportText } from '../proposals/report-text';
import { sentence } from '../playability/sentences';
import { UsageError, onePositional, parse, tempoOption, READ_OPTIONS, readOptions } from './args';
import { readPartFile } from './files';
import { harpOption } from './harp-option';
import type { Answer } from './output';
import { atTempo } from './pedals';
import { isSevere, shownProblem } from './problems';

const OPTIONS = {
  ...READ_OPTIONS,
  tempo: { type: 'string' },
  harp: { type: 'string' },
  report: { type: 'boolean' },
} as const;

export function checkCall(args: readonly string[]): Answer {
  const parsed = parse(args, OPTIONS);
  const path = onePositional(parsed, 'one file: .musicxml, .xml, .mxl or .mid');
  const read = readPartFile(path, readOptions(parsed));
  const passage = atTempo(read.passage, tempoOption(parsed));
  if (passage.plucks.length + passage.sweeps.length + passage.trembles.length === 0) {
    throw new UsageError(`“${path}”: the part has no notes to check.`);
  }
  const harp = harpOption(parsed);
  const report = 'levers' in harp ? checkLevers(passage, harp) : checkPart({ ...read, passage }, harp);
  const errors = report.problems.filter((p) => p.severity === 'error').length;
  const warnings = report.problems.length - errors;
  const short = parsed.values['report'] === true ? checkReport(report) : null;
  const notRead = read.unread.map(
    (u) => `Not read: ${u.what}${u.text === '' ? '' : ` “${u.text}”`} (${u.count}×, first in bar ${u.bar}).`,
  );
  return {
    json: {
      part: read.partName,
      onsets: report.onsets,
      problems: report.problems.map((p) => shownProblem(p, passage.bars)),
      unread: read.unread,
      ...(short === null
        ? {}
        : {
            report: {
              ...short,
              first: short.first.map(({ example, ...task }) => ({
                ...task,
                example: shownProblem(example, passage.bars),
              })),
              questions: short.questions.map((q) => ({ ...q, text: questionText(q) })),
            },
          }),
    },
    text:
      short !== null
        ? [reportText(short, passage.bars), ...notRead].join('\n')
        : [
            ...report.problems.map(
              (p) => `${p.severity === 'error' ? 'ERROR  ' : 'warning'}  ${sentence(p, passage.bars)}`,
            ),
            ...notRead,
            `${report.onsets} onsets, ${errors} errors, ${warnings} warnings. A harpist's word outranks this report.`,
          ].join('\n'),
    problemsFound: isSevere(report.problems),
  };
}
