/** `reduce`: a piano part as a harp part. */

import { basename, dirname } from 'node:path';
import { writeMusicXml } from '../interchange/musicxml-write';
import { placeName } from '../playability/places';
import { reduce } from '../proposals/reduce';
import { DIFFICULTIES, type Difficulty } from '../reduction/types';
import { UsageError, optionText, parse } from './args';
import { writeInto } from './files';
import type { Answer } from './output';
import { PART_OPTIONS, partOption } from './part-options';
import { counted, shownBeat, shownProblem } from './problems';

const OPTIONS = {
  ...PART_OPTIONS,
  out: { type: 'string' },
  difficulty: { type: 'string' },
  refuse: { type: 'string' },
} as const;

function difficultyOption(given: string | null): Difficulty {
  if (given === null) return 'idiomatic';
  const found = DIFFICULTIES.find((d) => d === given);
  if (found === undefined)
    throw new UsageError(`--difficulty is ${DIFFICULTIES.join(', ')}, not “${given}”.`);
  return found;
}

const percent = (share: number): string => `${Math.floor(share * 1000) / 10}%`;

export function reduceCall(args: readonly string[]): Answer {
  const parsed = parse(args, OPTIONS);
  const out = optionText(parsed, 'out');
  if (out === null) throw new UsageError('Say where the harp part goes: --out FILE.musicxml.');
  const difficulty = difficultyOption(optionText(parsed, 'difficulty'));
  const refused = (optionText(parsed, 'refuse') ?? '').split(',').flatMap((id) => id.trim() || []);
  const read = partOption(parsed, 'to reduce');
  const { passage } = read;
  const made = reduce({ passage, difficulty, refused });
  if (made === null) throw new UsageError('The reduction was stopped.');
  writeInto(dirname(out), [{ name: basename(out), bytes: writeMusicXml(made.planned) }]);
  const { top, bass, harmony, thirds } = made.kept;
  const warnings = made.problems.filter((p) => p.severity === 'warning').length;
  return {
    json: {
      part: read.partName,
      difficulty,
      unsuited: made.unsuited,
      changes: made.changes.map((c) => ({ ...c, beat: shownBeat(c.beat) })),
      kept: { top, bass, harmony, thirds },
      pedalMoves: made.planned.moves.length,
      chords: made.chords.map((c) => ({ onset: c.onset, text: c.text })),
      problems: made.problems.map((p) => shownProblem(p, passage.bars)),
      musicxml: out,
    },
    text: [
      ...(made.unsuited === null ? [] : [made.unsuited.message]),
      ...made.changes.map((c) => `${placeName(passage.bars, c.onset)}  ${c.message}  [${c.id}]`),
      `${counted(made.changes.length, 'change', 'changes')}. Kept: top line ${percent(top)}, bass ${percent(bass)}, harmony ${percent(harmony)}, thirds and sevenths ${percent(thirds)}.`,
      `${counted(made.planned.moves.length, 'pedal move', 'pedal moves')}, ${counted(warnings, 'warning', 'warnings')}. A harpist's word outranks this part.`,
    ].join('\n'),
    problemsFound: made.problems.some((p) => p.severity === 'error'),
  };
}
