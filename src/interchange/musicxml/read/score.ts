/** The score's parts, partwise or timewise, and the choice of the part to read. */

import { type Result, ok } from '../../../base/result';
import { fileProblem } from '../../problems';
import { type XmlElement, child, childNumber, childText, children } from './tree';

export interface PartSource {
  readonly id: string;
  readonly name: string;
  readonly isHarp: boolean;
  readonly staves: number;
  readonly measures: readonly XmlElement[];
}

export interface Score {
  readonly title: string;
  /** Empty where none is named. */
  readonly composer: string;
  readonly parts: readonly PartSource[];
}

const HARP_NAME = /(^|[^a-z])(harp|harps|harpe|harpes|harfe|harfen|arpa|arpe|arfa|harfa|hp|hrp)([^a-z]|$)/i;

function isHarp(scorePart: XmlElement | undefined, name: string): boolean {
  if (HARP_NAME.test(name)) return true;
  const sound = children(scorePart, 'score-instrument').some((i) =>
    /harp$/.test(childText(i, 'instrument-sound') ?? ''),
  );
  // Programs count from 1: the orchestral harp is 47.
  const program = children(scorePart, 'midi-instrument').some((i) => childNumber(i, 'midi-program') === 47);
  return sound || program;
}

/** Parts of a score in the order of the part list. Fails where the root is no score or holds no part. */
export function readScore(root: XmlElement): Result<Score> {
  if (root.name !== 'score-partwise' && root.name !== 'score-timewise') {
    return fileProblem('not-musicxml', `<${root.name}>`, 'score-partwise or score-timewise');
  }
  const measures = new Map<string, XmlElement[]>();
  if (root.name === 'score-partwise') {
    for (const part of children(root, 'part'))
      measures.set(part.attributes.id ?? '', children(part, 'measure'));
  } else {
    for (const measure of children(root, 'measure')) {
      for (const part of children(measure, 'part')) {
        const id = part.attributes.id ?? '';
        const own = measures.get(id) ?? [];
        own.push({ ...part, name: 'measure', attributes: measure.attributes });
        measures.set(id, own);
      }
    }
  }
  const listed = children(child(root, 'part-list'), 'score-part');
  const parts = [...measures].map(([id, own]): PartSource => {
    const scorePart = listed.find((p) => p.attributes.id === id);
    const name = childText(scorePart, 'part-name') ?? '';
    const staves = own.reduce(
      (most, measure) =>
        Math.max(most, ...children(measure, 'attributes').map((a) => childNumber(a, 'staves') ?? 1)),
      1,
    );
    return { id, name, isHarp: isHarp(scorePart, name), staves, measures: own };
  });
  if (parts.every((part) => part.measures.length === 0)) {
    return fileProblem('part-empty', 'no bar', 'a part with at least one bar');
  }
  const title = childText(child(root, 'work'), 'work-title') ?? childText(root, 'movement-title') ?? '';
  const creators = children(child(root, 'identification'), 'creator');
  const composer = creators.find((creator) => creator.attributes.type === 'composer')?.text ?? '';
  return ok({ title, composer, parts });
}

/** What each part is asked for by: its name where no other has it, else its number from 1. */
export const partNames = ({ parts }: Score): string[] =>
  parts.map(({ name }, i) =>
    name.trim() === '' || parts.some((p, j) => j !== i && p.name.toLowerCase() === name.toLowerCase())
      ? String(i + 1)
      : name,
  );

/** By name, id or number where one is asked for; else the harp, else the two-staff part, else the first. */
export function choosePart(score: Score, wanted: string | undefined): Result<PartSource> {
  const { parts } = score;
  if (wanted !== undefined) {
    const text = wanted.trim().toLowerCase();
    const found =
      parts.find((p) => p.name.toLowerCase() === text || p.id.toLowerCase() === text) ??
      (/^\d+$/.test(text) ? parts[Number(text) - 1] : undefined) ??
      (text === '' ? undefined : parts.find((p) => p.name.toLowerCase().includes(text)));
    if (found === undefined) {
      const names = parts.map((p, i) => p.name || String(i + 1)).join(', ');
      return fileProblem('part-missing', wanted, names);
    }
    return ok(found);
  }
  const full = parts.filter((p) => p.measures.length > 0);
  const chosen = full.find((p) => p.isHarp) ?? full.find((p) => p.staves === 2) ?? full[0];
  return ok(chosen as PartSource);
}
