// Finds the open data sets that some checks read. They are no part of the project: without them those checks skip.
import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const DATA = fileURLToPath(new URL('../../../shared/data', import.meta.url));
export const hasData = existsSync(join(DATA, 'README.md'));

/** Why a check was skipped, for the title of the test. */
export const needsData = hasData ? '' : ' (skipped: no shared data set beside the project)';

export const dataFiles = (folder: string): string[] => readdirSync(join(DATA, folder)).sort();
export const dataBytes = (folder: string, file: string): Uint8Array => readFileSync(join(DATA, folder, file));

export interface SharedProgression {
  readonly id: string;
  readonly metre: { readonly beats: number; readonly unit: number };
  readonly text: string;
}

/** The shared progressions: id, metre, bars of chord symbols. */
export function sharedProgressions(): SharedProgression[] {
  const lines = readFileSync(join(DATA, 'progressions', 'progressions.tsv'), 'utf8').trim().split('\n').slice(1);
  return lines.map((line) => {
    const [id, metre, text] = line.split('\t') as [string, string, string];
    const [beats, unit] = metre.split('/').map(Number) as [number, number];
    return { id, metre: { beats, unit }, text };
  });
}
