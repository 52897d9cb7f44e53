/** Verovio behind one function: MusicXML in, clean SVG out, system by system. Runs in a worker, a page or Node. */

import type { VerovioOptions } from 'verovio/esm';
import { type Result, ok } from '../base/result';
import { type ScoreBar, type ScoreCopy, readScoreCopy, sameStanding, standingBefore } from './score-copy';
import { type Drawer, type System, drawSystems } from './systems';
import { refused, startToolkit } from './toolkit';
import type { EngraveOptions, EngravedPage } from './types';

export type Engraver = (musicXml: string, options: EngraveOptions) => Result<EngravedPage>;

const NARROWEST = 240;
const WIDEST = 4000;

/** Page size in the engraver's units (hundredths of a scaled pixel); each system is a page, with room for words. */
export function engraverOptions({ width, scale, line = false }: EngraveOptions): VerovioOptions {
  const px = Math.min(WIDEST, Math.max(NARROWEST, Math.floor(width)));
  return {
    pageWidth: Math.round((px * 100) / scale),
    pageHeight: 100,
    pageMarginLeft: 45,
    pageMarginRight: 10,
    pageMarginTop: 60,
    pageMarginBottom: 30,
    adjustPageHeight: true,
    scale,
    header: 'none',
    footer: 'none',
    // Breaks that are written are taken, the others found: a window begins where its first system does.
    breaks: line ? 'none' : 'smart',
    breaksSmartSb: 0,
    adjustPageWidth: line,
    svgViewBox: true,
    svgRemoveXlink: true,
    octaveAlternativeSymbols: true,
    multiRestStyle: 'block',
    minLastJustification: 0.55,
    inputFrom: 'musicxml',
  };
}

/** A part as it was drawn at one size. */
interface Laid {
  readonly musicXml: string;
  readonly size: string;
  readonly score: ScoreCopy;
  readonly systems: readonly System[];
  /** The first bar that is not drawn yet. */
  readonly next: number;
}

/** So many parts and sizes are remembered: a score, the one beside it, and both at the width before. */
const REMEMBERED = 4;

/** How many bars are the same from the start, and from the end. */
function sameBars(a: readonly ScoreBar[], b: readonly ScoreBar[]): { head: number; tail: number } {
  const most = Math.min(a.length, b.length);
  let head = 0;
  while (head < most && a[head]?.text === b[head]?.text) head++;
  let tail = 0;
  while (tail < most - head && a.at(-1 - tail)?.text === b.at(-1 - tail)?.text) tail++;
  return { head, tail };
}

/** Bars beyond the system of a change that are engraved with it: where they begin the next, the rest still stands. */
const BEYOND = 2;

/** The part's systems, those of `before` that still stand taken over. */
function redraw(drawer: Drawer, score: ScoreCopy, before: Laid) {
  const { head, tail } = sameBars(before.score.bars, score.bars);
  const shift = score.bars.length - before.score.bars.length;
  // A system stands where its bars and the first bar of the next are the same: that bar did not fit and does not now.
  const endOf = (i: number): number => before.systems[i + 1]?.from ?? before.next;
  const kept = before.systems.filter((_, i) => endOf(i) < head).length;
  const from = before.systems[kept]?.from ?? before.next;
  if (from >= score.bars.length || (head === score.bars.length && shift === 0)) {
    return { ok: true as const, systems: before.systems, next: before.next };
  }
  const later = new Map(
    before.systems.map((system, i) => [system.from + shift, { ...system, from: system.from + shift, i }]),
  );
  const unchanged = score.bars.length - tail;
  const standing = sameStanding(
    standingBefore(before.score, before.score.bars.length - tail),
    standingBefore(score, unchanged),
  );
  // What a system before this one leaves open may be drawn into it: it must have been left the same.
  const meets = (bar: number): boolean =>
    standing && bar > unchanged && later.has(bar) && score.open[bar] !== true;
  const ends = before.systems.map((_, i) => endOf(i) + shift);
  const reach = (ends.find((bar) => bar > unchanged) ?? score.bars.length) + BEYOND;
  const drawn = drawSystems(drawer, score, from, { step: reach - from, meets });
  if (!drawn.ok) return drawn;
  const met = later.get(drawn.next);
  const rest =
    drawn.next < score.bars.length && met !== undefined
      ? before.systems.slice(met.i).map((system) => ({ ...system, from: system.from + shift }))
      : [];
  const systems = [...before.systems.slice(0, kept), ...drawn.systems, ...rest];
  return { ok: true as const, systems, next: score.bars.length };
}

/**
 * Starts the engraver: 7 MB of program, so call it once, lazily, off the main thread. A page that was asked for lately
 * is answered at once; of a part like one that was drawn at the same size only the systems that differ are drawn.
 */
export async function loadEngraver(): Promise<Engraver> {
  const toolkit = await startToolkit();
  const remembered: Laid[] = [];
  let font: string | null = null;
  const bars = new Map<string, ScoreBar>();
  return (musicXml, options) => {
    const given = engraverOptions(options);
    const size = JSON.stringify(given);
    const same = remembered.find((laid) => laid.size === size && laid.musicXml === musicXml);
    const score = same?.score ?? readScoreCopy(musicXml, bars);
    if (score === null) return refused('text that is not MusicXML');
    const drawer: Drawer = { toolkit, options: given, font };
    const end = score.bars.length;
    const best = remembered
      .filter((laid) => laid.size === size && laid.next === laid.score.bars.length && options.line !== true)
      .map((laid) => ({ laid, ...sameBars(laid.score.bars, score.bars) }))
      .reduce<{ laid: Laid; alike: number } | null>((top, { laid, head, tail }) => {
        const alike = head + tail;
        return alike > 2 && alike > (top?.alike ?? 0) ? { laid, alike } : top;
      }, null);
    let laid: Pick<Laid, 'systems' | 'next'>;
    if (same !== undefined && (same.next === end || options.early !== undefined)) laid = same;
    else {
      const begun = same?.systems ?? [];
      const drawn =
        same === undefined && best !== null
          ? redraw(drawer, score, best.laid)
          : options.early !== undefined && options.line !== true
            ? drawSystems(drawer, score, 0, { step: options.early, once: true })
            : drawSystems(drawer, score, same?.next ?? 0, { step: end });
      font = drawer.font;
      if (!drawn.ok) return refused(drawn.why);
      laid = { systems: [...begun, ...drawn.systems], next: drawn.next };
    }
    const now: Laid = { musicXml, size, score, ...laid };
    remembered.splice(
      0,
      remembered.length,
      now,
      ...remembered.filter((l) => l !== same).slice(0, REMEMBERED - 1),
    );
    bars.clear();
    for (const { score: copy } of remembered) for (const bar of copy.bars) bars.set(bar.text, bar);
    const systems = now.systems.map(({ key, svg }) => ({ key, svg }));
    return ok({ systems, complete: now.next === end, font });
  };
}
