/** `mend`: a harp part made playable with the least change, written to a file, with a report of what changed. */

import { basename, dirname } from 'node:path';
import { readPart } from '../interchange/read-part';
import { sentence } from '../playability/sentences';
import { shownStep } from '../proposals/mend/sentences';
import { type MendedFile, mendFile } from '../proposals/mend/write';
import { UsageError, parse } from './args';
import { NAME_THE_FILE, outOption, readBytes, writeInto } from './files';
import type { Answer } from './output';
import { PART_OPTIONS, partOption, readOptions } from './part-options';
import { counted, isSevere, shownProblem } from './problems';

const OPTIONS = {
  ...PART_OPTIONS,
  out: { type: 'string' },
  pedals: { type: 'boolean' },
} as const;

function shown({ rounds }: MendedFile) {
  const changes = rounds.flatMap(({ read, answer }) =>
    answer.mendings.flatMap((m) =>
      (m.repairs[0]?.steps ?? []).map((step) => ({
        ...shownStep(step, read.passage),
        repair: m.repairs[0]?.id ?? '',
        mends: [...new Set(m.problems.map((p) => p.code))],
      })),
    ),
  );
  const repairs = rounds.flatMap(({ read, answer }) =>
    answer.mendings.map((m) => ({
      problems: m.problems.map((p) => shownProblem(p, read.passage.bars)),
      offers: m.repairs.map((r) => ({
        id: r.id,
        loss: r.loss,
        needs: r.needs,
        changes: r.steps.map((step) => shownStep(step, read.passage)),
      })),
    })),
  );
  return { changes, repairs };
}

export function mendCall(args: readonly string[]): Answer {
  const parsed = parse(args, OPTIONS);
  const file = outOption(parsed);
  if (file === null) throw new UsageError(NAME_THE_FILE);
  const { path: out, kind } = file;
  const read = partOption(parsed, 'to mend');
  const { part, transpose, harmonics } = readOptions(parsed);
  const bytes = readBytes(read.path);
  // Notes read at concert pitch are no longer those of the file: the part is then written anew.
  const anew =
    transpose === 'apply' && !readPart(basename(read.path), bytes, part === undefined ? {} : { part }).ok;
  const mended = mendFile(bytes, anew ? { ...read, sources: new Map() } : read, {
    ...(part === undefined ? {} : { part }),
    ...(harmonics === undefined ? {} : { harmonics }),
    kind,
    pedals: parsed.values.pedals === true,
  });
  const files = [{ name: basename(out), bytes: mended.bytes }];
  const secondName = `${basename(out).replace(/\.[^.]*$/, '')}-second-harp.musicxml`;
  if (mended.second !== null) files.push({ name: secondName, bytes: mended.second });
  writeInto(dirname(out), files);
  const { changes, repairs } = shown(mended);
  const bars = mended.passage.bars;
  const remaining = mended.remaining.map((p) => shownProblem(p, bars));
  return {
    json: {
      part: read.partName,
      file: out,
      secondHarp: mended.second === null ? null : secondName,
      changes,
      remaining,
      repairs,
      untried: mended.rounds.reduce((sum, { answer }) => sum + answer.untried, 0),
    },
    text: [
      ...changes.map((c) => `${c.code.padEnd(11)}  ${c.message}`),
      ...mended.remaining.map((p) => `REMAINS      ${sentence(p, bars)}`),
      changes.length === 0
        ? `${out}: nothing had to be changed.`
        : `${out}: ${counted(changes.length, 'change', 'changes')}, ${counted(remaining.length, 'error', 'errors')} left. A harpist's word outranks this program's.`,
    ].join('\n'),
    note: anew ? `“${read.path}” transposes: its harp part is written anew, at concert pitch.` : null,
    problemsFound: isSevere(mended.remaining),
  };
}
