/** `check`: a harp part against every rule. */

import { checkPart } from '../proposals/check';
import { checkLevers } from '../proposals/check-levers';
import { barWords } from '../playability/places';
import { notesNamed } from '../proposals/check-places';
import { checkReport } from '../proposals/report';
import { foldProblems, foldText } from '../proposals/report-fold';
import { questionText, reportText } from '../proposals/report-text';
import { parse } from './args';
import { harpOption } from './harp-option';
import type { Answer } from './output';
import { PART_OPTIONS, partOption } from './part-options';
import { counted, isSevere, shownProblem } from './problems';

const OPTIONS = {
  ...PART_OPTIONS,
  harp: { type: 'string' },
  report: { type: 'boolean' },
} as const;

export function checkCall(args: readonly string[]): Answer {
  const parsed = parse(args, OPTIONS);
  const read = partOption(parsed, 'to check');
  const { passage } = read;
  const harp = harpOption(parsed);
  const report = 'levers' in harp ? checkLevers(passage, harp) : checkPart(read, harp);
  const notes = notesNamed(passage);
  const errors = report.problems.filter((p) => p.severity === 'error').length;
  const warnings = report.problems.length - errors;
  const short = parsed.values['report'] === true ? checkReport(report) : null;
  const notRead = read.unread.map(
    (u) =>
      `Not read: ${u.what}${u.text === '' ? '' : ` “${u.text}”`} (${u.count}×, first in ${barWords(u.bar)}).`,
  );
  return {
    json: {
      part: read.partName,
      onsets: report.onsets,
      problems: report.problems.map((p) => ({ ...shownProblem(p, passage.bars), notes: notes(p) })),
      unread: read.unread,
      ...(short === null
        ? {}
        : {
            report: {
              ...short,
              unsuited: short.unsuited === null ? null : shownProblem(short.unsuited, passage.bars),
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
            ...foldProblems(report.problems, passage).map(
              (fold) =>
                `${fold.problem.severity === 'error' ? 'ERROR  ' : 'warning'}  ${foldText(fold, passage.bars)}`,
            ),
            ...notRead,
            `${counted(report.onsets, 'onset', 'onsets')}, ${counted(errors, 'error', 'errors')}, ${counted(warnings, 'warning', 'warnings')}. A harpist's word outranks this report.`,
          ].join('\n'),
    problemsFound: isSevere(report.problems),
  };
}
