/** `propose`: a chord progression in, ranked figures out, with files where a folder is named. */

import { FAMILIES } from '../figures/families';
import type { Figure } from '../figures/language';
import { type MelodyNote, melodySentence, parseMelody } from '../figures/melody';
import { settingName } from '../harp/setting';
import { writeMidi } from '../interchange/midi-write';
import { writeMusicXml } from '../interchange/musicxml-write';
import { isSevere } from './problems';
import { sentence } from '../playability/sentences';
import { difficultyLine } from '../proposals/difficulty-words';
import { melodyText } from '../proposals/melody-text';
import { propose } from '../proposals/propose';
import { signed } from '../proposals/signed';
import { droppedSentences, limitSentence } from '../proposals/steer-words';
import { MIXED } from '../proposals/joint-attempt';
import type { Proposal, ProposeAnswer, ProposeRequest } from '../proposals/types';
import {
  UsageError,
  aimOption,
  metreOption,
  onePositional,
  optionText,
  parse,
  settingOption,
  tempoOption,
  wholeOption,
} from './args';
import { readFigureFile, readPartFile, writeInto } from './files';
import { pedalHarpOption } from './harp-option';
import type { Answer } from './output';
import { STEER_OPTIONS, steeringOption } from './steer-options';

const OPTIONS = {
  seed: { type: 'string' },
  count: { type: 'string' },
  tempo: { type: 'string' },
  metre: { type: 'string' },
  families: { type: 'string' },
  key: { type: 'string' },
  aim: { type: 'string' },
  title: { type: 'string' },
  composer: { type: 'string' },
  out: { type: 'string' },
  harp: { type: 'string' },
  figure: { type: 'string' },
  melody: { type: 'string' },
  ...STEER_OPTIONS,
} as const;

const KNOWN = [...FAMILIES.map((f) => f.id), MIXED.id];

function familyIds(option: string, given: string): string[] {
  const ids = given
    .split(',')
    .map((id) => id.trim())
    .filter((id) => id !== '');
  const wrong = ids.filter((id) => !KNOWN.includes(id));
  if (wrong.length > 0 || ids.length === 0) {
    throw new UsageError(
      `--${option}: ${wrong.length > 0 ? `“${wrong.join(', ')}” is no family` : 'no family is named'}; there are ${KNOWN.join(', ')}.`,
    );
  }
  return ids;
}

/** The families asked for less those asked out; a figure of the user's own is asked for by naming its file. */
function familyList(given: string | null, without: string | null, own: readonly Figure[]): string[] {
  const mine = own.map((f) => f.id);
  if (given === null && without === null) return mine;
  const out = without === null ? [] : familyIds('without', without);
  const base = given === null ? KNOWN : familyIds('families', given);
  const left = base.filter((id) => !out.includes(id));
  if (left.length + mine.length === 0) throw new UsageError('--without leaves no family to propose.');
  return [...left, ...mine];
}

function describe(answer: ProposeAnswer, folder: string | null): string {
  const lines = answer.progression.problems.map((p) => `! ${sentence(p, [])}`);
  answer.proposals.forEach((p, i) => {
    const moves = `${p.pedals.moves} pedal move${p.pedals.moves === 1 ? '' : 's'}`;
    lines.push(
      `${String(i + 1).padStart(2)}  ${p.familyName}: ${p.variant}`,
      `    ${difficultyLine(p.difficulty)}`,
      `    ${moves}${p.optimal ? ' (the fewest at this price, proven)' : ''} · from ${settingName(p.planned.start)} · points ${p.price.total} · ${p.id}`,
      ...p.warnings.slice(0, 3).map((w) => `    – ${sentence(w, p.planned.passage.bars)}`),
    );
  });
  if (answer.proposals.length === 0)
    lines.push('No figure of these families can be played on this progression:');
  const refused = new Map<string, string>();
  for (const r of answer.rejected) {
    const first = r.problems[0];
    if (first !== undefined && !refused.has(r.family)) refused.set(r.family, sentence(first, []));
  }
  for (const sentence of [
    ...droppedSentences(answer.dropped ?? []),
    ...(answer.limits ?? []).map(limitSentence).filter((text) => text !== ''),
  ])
    lines.push(`! ${sentence}`);
  for (const [family, why] of refused) lines.push(`refused  ${family}: ${why}`);
  if (folder !== null && answer.proposals.length > 0)
    lines.push(
      '',
      `Files are in ${folder}. Have a harpist look at the part: their word outranks this program's.`,
    );
  return lines.join('\n');
}

const files = (p: Proposal): { name: string; bytes: Uint8Array | string }[] => [
  { name: `${p.id}.musicxml`, bytes: writeMusicXml(p.planned) },
  { name: `${p.id}.mid`, bytes: writeMidi(p.planned) },
];

/** A seed becomes part of file names. */
function seedOption(given: string | null): string {
  if (given === null) return '1';
  if (!/^[A-Za-z0-9._-]{1,40}$/.test(given)) {
    throw new UsageError(`--seed takes up to 40 letters, digits, dots and dashes, not “${given}”.`);
  }
  return given;
}

/** `--melody "C5:2 D5:1 …"`, or a file whose top line it is: the tune to be accompanied. */
function melodyOption(given: string | null): readonly MelodyNote[] | null {
  if (given === null) return null;
  const isFile = /\.(musicxml|xml|mxl|midi?|json)$/i.test(given.trim());
  const text = isFile ? melodyText(readPartFile(given.trim(), { transpose: 'apply' }).passage) : given;
  const read = parseMelody(text);
  if (read.ok) return read.value;
  throw new UsageError(`--melody: ${read.problems.slice(0, 1).map(melodySentence).join('')}`);
}

export function proposeCall(args: readonly string[]): Answer {
  const parsed = parse(args, OPTIONS);
  const text = onePositional(parsed, 'one chord progression in quotes, such as "Cmaj7 | A7b9 | Dm9 / G13 /"');
  const figureFile = optionText(parsed, 'figure');
  const figures = figureFile === null ? [] : [readFigureFile(figureFile)];
  const melody = melodyOption(optionText(parsed, 'melody'));
  const request: ProposeRequest = {
    text,
    metre: metreOption(parsed),
    milliBpm: tempoOption(parsed) ?? 90_000,
    seed: seedOption(optionText(parsed, 'seed')),
    count: wholeOption(parsed, 'count', 24, 1, 200),
    families: familyList(optionText(parsed, 'families'), optionText(parsed, 'without'), figures),
    figures,
    ...(melody === null ? {} : { melody }),
    start: settingOption(parsed, 'start'),
    aim: aimOption(parsed),
    key: optionText(parsed, 'key'),
    title: optionText(parsed, 'title') ?? '',
    instrument: pedalHarpOption(
      parsed,
      'Figures are made for harps with pedals: --harp is 47, 46, 44 or 40 here; pedals and check take lever34.',
    ),
  };
  const composer = optionText(parsed, 'composer') ?? '';
  const answer = signed(propose({ ...request, steering: steeringOption(parsed, request) }), composer);
  if (answer.progression.chords.every((c) => c.chord === null)) {
    const first = answer.progression.problems[0];
    throw new UsageError(
      first === undefined
        ? 'The progression has no chord; give one such as "Cmaj7 | A7b9".'
        : sentence(first, []),
    );
  }
  const folder = optionText(parsed, 'out');
  if (folder !== null) writeInto(folder, answer.proposals.flatMap(files));
  return {
    json: {
      proposals: answer.proposals.map((p) => ({
        id: p.id,
        family: p.family,
        variant: p.variant,
        seed: p.seed,
        recipe: p.recipe,
        price: p.price,
        difficulty: p.difficulty,
        optimal: p.optimal,
        lowerBound: p.lowerBound,
        warnings: p.warnings.map((w) => ({ ...w, message: sentence(w, p.planned.passage.bars) })),
        musicxml: folder === null ? null : `${p.id}.musicxml`,
        midi: folder === null ? null : `${p.id}.mid`,
      })),
      rejected: answer.rejected.map((r) => ({
        family: r.family,
        problems: r.problems.map((p) => ({ ...p, message: sentence(p, []) })),
      })),
      problems: answer.progression.problems.map((p) => ({ ...p, message: sentence(p, []) })),
      key: answer.progression.key,
      limits: (answer.limits ?? []).map((l) => ({ ...l, message: limitSentence(l) })),
      dropped: answer.dropped ?? [],
    },
    text: describe(answer, folder),
    problemsFound: isSevere(answer.progression.problems) || answer.proposals.length === 0,
  };
}
