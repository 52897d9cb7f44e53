/** A text cut at the places of its problems, for the layer that underlines them. */

import type { Problem } from '../base/problem';

export interface TextSegment {
  readonly text: string;
  /** The most severe problem over this stretch, or null. */
  readonly severity: 'error' | 'warning' | null;
  readonly start: number;
}

/** Contiguous segments that join to the text; overlapping problems give the more severe its stretch. */
export function textSegments(text: string, problems: readonly Problem[]): TextSegment[] {
  const severity: (TextSegment['severity'] | undefined)[] = Array.from({ length: text.length });
  for (const p of problems) {
    if (p.where.kind !== 'text') continue;
    for (let i = Math.max(0, p.where.start); i < Math.min(text.length, p.where.end); i++) {
      if (severity[i] !== 'error') severity[i] = p.severity;
    }
  }
  const out: TextSegment[] = [];
  for (let i = 0; i < text.length;) {
    const start = i;
    const here = severity[i] ?? null;
    while (i < text.length && (severity[i] ?? null) === here) i++;
    out.push({ text: text.slice(start, i), severity: here, start });
  }
  return out;
}
