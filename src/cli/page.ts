/** `page`: a part as SVG pages for paper, with a practice sheet for the pedals. */

import type { Problem } from '../base/problem';
import { turnWords } from '../engraving/page-turns';
import { loadPrinter } from '../engraving/printable';
import { practiceSheet } from '../engraving/practice-sheet';
import type { PlannedPassage } from '../harp/planned';
import type { MusicXmlOptions, PedalMarking } from '../interchange/musicxml-write';
import type { ReadPart } from '../interchange/read-part';
import { defaultPlanOptions, planPassage } from '../pedals/plan';
import { sentence } from '../playability/sentences';
import { checkPart } from '../proposals/check';
import { UsageError, optionText, parse } from './args';
import { writeInto } from './files';
import type { Answer } from './output';
import { PART_OPTIONS, anyPart } from './part-options';
import { counted, isSevere, shownProblem, unplayableNote } from './problems';

const OPTIONS = {
  ...PART_OPTIONS,
  out: { type: 'string' },
  pedals: { type: 'string' },
  paper: { type: 'string' },
  fingering: { type: 'boolean' },
  chords: { type: 'boolean' },
  'own-key': { type: 'boolean' },
} as const;

const MARKINGS: readonly PedalMarking[] = ['none', 'settings', 'diagrams', 'words', 'two-lines'];

function oneOf<T extends string>(given: string | null, name: string, all: readonly T[], usual: T): T {
  if (given === null) return usual;
  const found = all.find((each) => each === given);
  if (found === undefined) throw new UsageError(`--${name} is one of ${all.join(', ')}, not “${given}”.`);
  return found;
}

interface Plan {
  readonly planned: PlannedPassage;
  readonly problems: readonly Problem[];
}

/** The plan that the part's own marks tell, or a new one where it has none. */
function planOf(read: ReadPart, checked: Plan): Plan {
  const marked = read.markings.settings.length + read.markings.moves.length > 0;
  if (!marked) {
    const plan = planPassage(read.passage, defaultPlanOptions);
    if (plan.status !== 'unplayable') return { planned: plan.planned, problems: plan.problems };
  }
  return checked;
}

export async function pageCall(args: readonly string[]): Promise<Answer> {
  const parsed = parse(args, OPTIONS);
  const folder = optionText(parsed, 'out');
  if (folder === null) throw new UsageError('Give --out, a folder for the pages.');
  const paper = oneOf(optionText(parsed, 'paper'), 'paper', ['a4', 'letter'] as const, 'a4');
  const music: MusicXmlOptions = {
    pedals: oneOf(optionText(parsed, 'pedals'), 'pedals', MARKINGS, 'two-lines'),
    fingering: parsed.values['fingering'] === true,
    chords: parsed.values['chords'] === true,
    key: parsed.values['own-key'] === true ? 'harp' : 'given',
  };
  const read = anyPart(parsed);
  const { path } = read;
  if (read.passage.bars.length === 0) throw new UsageError(`“${path}”: the part has no bars to print.`);
  const checked = checkPart(read);
  const { planned, problems } = planOf(read, checked);
  const print = await loadPrinter();
  const printed = print(planned, { paper, music, carryFont: true });
  if (!printed.ok) {
    const [problem] = printed.problems;
    throw new UsageError(
      `“${path}”: ${problem === undefined ? 'it cannot be engraved.' : sentence(problem, [])}`,
    );
  }
  const pages = printed.value.pages.map((svg, i) => ({ name: `page-${i + 1}.svg`, bytes: svg }));
  const practice = practiceSheet(planned, paper).map((svg, i) => ({
    name: `practice-${i + 1}.svg`,
    bytes: svg,
  }));
  writeInto(folder, [...pages, ...practice]);
  const { bars } = planned.passage;
  const numberOf = (bar: number): string => bars[bar]?.number ?? '';
  const turns = printed.value.turns.map(({ bar, seconds, hand }) => ({
    bar: numberOf(bar),
    seconds: Math.round(seconds * 100) / 100,
    hand,
  }));
  return {
    json: {
      pages: pages.map(({ name }) => name),
      practice: practice.map(({ name }) => name),
      turns,
      problems: problems.map((p) => shownProblem(p, bars)),
    },
    text: [
      `${counted(pages.length, 'page', 'pages')} and ${practice.length} of the practice sheet are in ${folder}.`,
      ...printed.value.turns.map((turn) => turnWords(turn, numberOf(turn.bar))),
    ].join('\n'),
    note: unplayableNote(path, checked.problems),
    problemsFound: isSevere(problems),
  };
}
