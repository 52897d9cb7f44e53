/** Systems of a part laid out and drawn one by one, from any system on, so that a change draws only what it changes. */

import { finishSvg } from './finish-svg';
import { type ScoreBar, type ScoreCopy, barId, windowText } from './score-copy';
import type { Toolkit } from './toolkit';
import type { EngravedSystem } from './types';
import type { VerovioOptions } from 'verovio/esm';
import { writeXml } from './xml-tree';

/** A system with its bars: from `from` to the next system's first. */
export interface System extends EngravedSystem {
  readonly from: number;
}

/** What the engraver needs to draw a part, and what it has learnt. */
export interface Drawer {
  readonly toolkit: Toolkit;
  readonly options: VerovioOptions;
  /** The music font, once it has been sent along. */
  font: string | null;
}

/** 64 bits of a text as hexadecimal: two runs of FNV-1a (Fowler, Noll, Vo) from different starts. */
function keyOf(text: string): string {
  let [a, b] = [0x811c9dc5, 0x9747b28c];
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i);
    a = Math.imul(a ^ code, 0x01000193);
    b = Math.imul(b ^ code, 0x01000193) ^ (a >>> 15);
  }
  return (a >>> 0).toString(16).padStart(8, '0') + (b >>> 0).toString(16).padStart(8, '0');
}

/** Bars before a window whose ties and lines reach into it. */
const CONTEXT = 2;

/** The bars that are engraved with `from` to `to`, so that nothing is open at either end. */
function contextOf(score: ScoreCopy, from: number, to: number): { begin: number; end: number } {
  let begin = Math.max(0, from - CONTEXT);
  while (begin > 0 && score.open[begin] === true) begin--;
  let end = Math.min(score.bars.length, to);
  while (end < score.bars.length && score.open[end] === true) end++;
  return { begin, end };
}

const firstBarIn = (svg: string): number => Number(/ id="bar-(\d+)"/.exec(svg)?.[1] ?? NaN);

const GLYPH = /( (?:id="|href="#)[0-9A-F]{4,5})"/g;

/** A system's drawing, cleaned; null where it is not well-formed. */
function finished(drawer: Drawer, svg: string, bars: readonly ScoreBar[], from: number): System | null {
  const done = finishSvg(svg, {
    notes: bars.flatMap((bar) => bar.notes),
    rings: bars.flatMap((bar) => bar.rings),
    damped: bars.flatMap((bar) => bar.damped),
  });
  if (done === null) return null;
  drawer.font ??= done.font;
  const text = writeXml(done.drawing);
  const key = keyOf(text);
  // Each system has glyphs of its own, so that one that goes takes nothing from the others. A long line's have the same
  // names each time, so that its bars look the same as text where they look the same.
  const owner = drawer.options.breaks === 'none' ? 'line' : key;
  return { from, key, svg: text.replaceAll(GLYPH, `$1-${owner}"`) };
}

export type Drawn =
  | { readonly ok: true; readonly systems: readonly System[]; readonly next: number }
  | { readonly ok: false; readonly why: string };

/**
 * Draws the systems from the one that begins at bar `from`, by the bars before `to`: all that the window holds but the
 * last, which would go on, or all to the part's end. `next` is where the next system begins. It stops before a system
 * at which `meets` says so.
 */
function drawWindow(
  drawer: Drawer,
  score: ScoreCopy,
  from: number,
  to: number,
  meets: (bar: number) => boolean,
): Drawn {
  const { toolkit, options } = drawer;
  const { begin, end } = contextOf(score, from, to);
  toolkit.setOptions({ ...options, smuflTextFont: drawer.font === null ? 'embedded' : 'none' });
  toolkit.resetXmlIdSeed(1);
  const given = windowText(score, begin, end, begin < from ? [from] : []);
  if (!toolkit.loadData(given)) return { ok: false, why: 'a part that the engraver cannot read' };
  const pages = toolkit.getPageCount();
  const first = begin === from ? 1 : toolkit.getPageWithElement(barId(from));
  const usable = end === score.bars.length ? pages : pages - 1;
  const svgs: { from: number; svg: string }[] = [];
  let next = from;
  for (let page = Math.max(1, first); page <= pages; page++) {
    const svg = toolkit.renderToSVG(page);
    next = page === first ? from : firstBarIn(svg);
    if (page > usable || (next > from && meets(next))) break;
    svgs.push({ from: next, svg });
    next = end;
  }
  const systems: System[] = [];
  for (const [i, system] of svgs.entries()) {
    const bars = score.bars.slice(system.from, svgs[i + 1]?.from ?? next);
    const done = finished(drawer, system.svg, bars, system.from);
    if (done === null) return { ok: false, why: 'a drawing that is not well-formed' };
    systems.push(done);
  }
  return { ok: true, systems, next };
}

/**
 * Draws systems from bar `from` on, `step` bars at a time, until the part ends, `meets` is true of a system's first bar,
 * or, with `once`, the first step is done.
 */
export function drawSystems(
  drawer: Drawer,
  score: ScoreCopy,
  from: number,
  {
    step,
    once = false,
    meets = () => false,
  }: { step: number; once?: boolean; meets?: (bar: number) => boolean },
): Drawn {
  const systems: System[] = [];
  let next = from;
  let reach = step;
  do {
    const drawn = drawWindow(drawer, score, next, next + reach, meets);
    if (!drawn.ok) return drawn;
    systems.push(...drawn.systems);
    // A system of more bars than a step: a longer one.
    if (drawn.systems.length === 0) reach *= 2;
    next = drawn.next;
    if (next > from && meets(next)) break;
  } while (next < score.bars.length && !(once && systems.length > 0));
  return { ok: true, systems, next };
}
