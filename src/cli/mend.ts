/** `mend`: a harp part made playable with the least change, written to a file, with a report of what changed. */

import { readFileSync } from 'node:fs';
import { basename, dirname } from 'node:path';
import { sentence } from '../playability/sentences';
import { shownStep } from '../proposals/mend/sentences';
import { type MendedFile, mendFile } from '../proposals/mend/write';
import { UsageError, onePositional, optionText, parse, tempoOption } from './args';
import { readPartFile, writeInto } from './files';
import type { Answer } from './output';
import { atTempo } from './pedals';
import { isSevere, shownProblem } from './problems';

const OPTIONS = {
  part: { type: 'string' },
  tempo: { type: 'string' },
  out: { type: 'string' },
  pedals: { type: 'boolean' },
} as const;

const KINDS: readonly (readonly [RegExp, 'musicxml' | 'mxl' | 'midi'])[] = [
  [/\.(musicxml|xml)$/i, 'musicxml'],
  [/\.mxl$/i, 'mxl'],
  [/\.(midi?|smf)$/i, 'midi'],
];

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
  const path = onePositional(parsed, 'one file: .musicxml, .xml, .mxl, .mid or saved work');
  const out = optionText(parsed, 'out');
  const kind = KINDS.find(([suffix]) => out !== null && suffix.test(out))?.[1];
  if (out === null || kind === undefined) {
    throw new UsageError('Name the file to write: --out FILE.musicxml, .xml, .mxl or .mid.');
  }
  const name = optionText(parsed, 'part');
  const read = readPartFile(path, name === null ? {} : { part: name });
  const { plucks, sweeps, trembles } = read.passage;
  if (plucks.length + sweeps.length + trembles.length === 0) {
    throw new UsageError(`“${path}”: the part has no notes to mend.`);
  }
  const asked = { ...read, passage: atTempo(read.passage, tempoOption(parsed)) };
  const mended = mendFile(readFileSync(path), asked, {
    ...(name === null ? {} : { part: name }),
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
    },
    text: [
      ...changes.map((c) => `${c.code.padEnd(11)}  ${c.message}`),
      ...mended.remaining.map((p) => `REMAINS      ${sentence(p, bars)}`),
      changes.length === 0
        ? `${out}: nothing had to be changed.`
        : `${out}: ${changes.length} changes, ${remaining.length} errors left. A harpist's word outranks this program's.`,
    ].join('\n'),
    problemsFound: isSevere(mended.remaining),
  };
}
