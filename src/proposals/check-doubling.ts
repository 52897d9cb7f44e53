/** A part that is only partly for the harp: its player takes another instrument for some bars, and says so in words. */

import type { Problem } from '../base/problem';
import type { Ticks } from '../base/units';
import { barAt } from '../music/metre';
import type { Passage } from '../music/passage';
import { barList } from '../playability/places';

/** The harp by its names. */
const HARP = /\b(harp|harps|arpa|arpe|harfe|harfen|harpe|harpes)\b/i;
/** Instruments that harpists and their desks are asked to take, by their names in scores. */
const OTHERS =
  /\b(celesta|celeste|piano|pianoforte|klavier|harpsichord|cembalo|clavecin|glockenspiel|vibraphone|xylophone|marimba|crotales|chimes|tubular bells|triangle|tambourine|organ|harmonium|dulcimer|cimbalom|guitar|mandolin|synthesizer|keyboard|lyre|psaltery)\b/i;
/** Words that tell a player to take something up. */
const CHANGE = /^\(?(to|take|change to|switch to|muta in|muta|nimmt|prendre|prend|prende)\b/i;

export interface HarpOnly {
  readonly passage: Passage;
  /** A passage made from `passage` with what was left out of it put back, for those who print it whole. */
  whole(judged: Passage): Passage;
  /** One remark for each stretch that is not the harp's; nothing of it is judged. */
  readonly problems: readonly Problem[];
}

/** The other instrument's name in a text, or null. */
const otherIn = (text: string): string | null => OTHERS.exec(text)?.[0] ?? null;

/** Stretches of time in which another instrument plays. */
function stretches(passage: Passage, partName: string): { name: string; from: Ticks; to: number }[] {
  // The part's name lists both: then a bare name in the part is a change as well.
  const isListed = HARP.test(partName) && otherIn(partName) !== null;
  const out: { name: string; from: Ticks; to: number }[] = [];
  let open: { name: string; from: Ticks; to: number } | null = null;
  for (const { onset, text } of [...(passage.words ?? [])].sort((a, b) => a.onset - b.onset)) {
    const word = text.trim();
    if (HARP.test(word)) {
      if (open !== null) open.to = onset;
      open = null;
      continue;
    }
    const name = otherIn(word);
    const bare = name !== null && word.replace(/[().\s]/g, '').toLowerCase() === name.toLowerCase();
    if (name === null || open !== null || !(CHANGE.test(word) || (isListed && bare))) continue;
    out.push((open = { name, from: onset, to: Infinity }));
  }
  return out;
}

/**
 * The harp's share of a part. Where words in the part tell its player to take another instrument ('to Celesta', or
 * the bare name where the part's own name lists it beside the harp), what follows is left out up to the word that
 * names the harp again, and a warning, code `part-partly`, says which bars. A part without such words is unchanged.
 */
export function harpOnly(passage: Passage, partName: string): HarpOnly {
  const others = stretches(passage, partName);
  if (others.length === 0 || passage.bars.length === 0)
    return { passage, whole: (judged) => judged, problems: [] };
  const away = (onset: number): boolean => others.some((o) => onset >= o.from && onset < o.to);
  const plucks = passage.plucks.filter((p) => !away(p.onset));
  const left = new Set(plucks.map((p) => p.id));
  const back = <T extends { readonly onset: Ticks }>(kept: readonly T[], all: readonly T[]): T[] =>
    [...kept, ...all.filter((x) => away(x.onset))].sort((a, b) => a.onset - b.onset);
  const problems = others.flatMap(({ name, from, to }): Problem[] => {
    const mine = [...passage.plucks, ...passage.sweeps, ...passage.trembles].filter(
      (x) => x.onset >= from && x.onset < to,
    );
    if (mine.length === 0) return [];
    const bars = [...new Set(mine.map((x) => barAt(passage.bars, x.onset).number))];
    const first = Math.min(...mine.map((x) => x.onset)) as Ticks;
    return [
      {
        code: 'part-partly',
        severity: 'warning',
        where: { kind: 'music', onset: first, ids: [] },
        value: name,
        limit: 'the harp',
        source: 'common practice',
        detail: { bars: barList(bars), notes: mine.length },
      },
    ];
  });
  return {
    passage: {
      ...passage,
      plucks,
      rolls: passage.rolls.map((r) => ({ ...r, plucks: r.plucks.filter((id) => left.has(id)) })),
      sweeps: passage.sweeps.filter((s) => !away(s.onset)),
      trembles: passage.trembles.filter((t) => !away(t.onset)),
    },
    whole: (judged) => {
      const all = back(judged.plucks, passage.plucks);
      const ids = new Set(all.map((p) => p.id));
      return {
        ...judged,
        plucks: all,
        rolls: passage.rolls.map((r) => ({ ...r, plucks: r.plucks.filter((id) => ids.has(id)) })),
        sweeps: back(judged.sweeps, passage.sweeps),
        trembles: back(judged.trembles, passage.trembles),
      };
    },
    problems,
  };
}
