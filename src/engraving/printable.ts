/** A part for paper: headed pages whose turns come where a hand is free. */

import { type Result, ok } from '../base/result';
import type { PlannedPassage } from '../harp/planned';
import { type MusicXmlOptions, writeMusicXml } from '../interchange/musicxml-write';
import { PRINT_MUSIC } from './defaults';
import { type EngravingCopy, engravingCopy } from './engraving-copy';
import { finishSvg } from './finish-svg';
import { HEADING, footer, heading } from './heading';
import { type Turn, chooseTurn, turns } from './page-turns';
import { MARGIN, PAPERS, type Paper, type PaperName, sheet } from './sheet';
import { standalone } from './standalone';
import { type Toolkit, refused, startToolkit } from './toolkit';
import type { Element } from 'xast';
import { childOf, element, elementsOf, mapElements, readXml, textIn, writeXml } from './xml-tree';

export interface PrintOptions {
  /** `a4` unless told otherwise. */
  readonly paper?: PaperName;
  /** What is shown; the defaults of `PRINT_MUSIC` stand under it. */
  readonly music?: MusicXmlOptions;
  /** The music font is carried in each page: for files of their own. A page in the browser has it already. */
  readonly carryFont?: boolean;
}

export interface PrintedPart {
  /** One SVG text a page, of the paper's size. */
  readonly pages: readonly string[];
  /** Where pages are turned, and how long a hand is free there: short of two seconds where the music leaves no room. */
  readonly turns: readonly Turn[];
  /** Music font for text inside the SVG, base64 WOFF2, or null where none is needed. */
  readonly font: string | null;
}

export type Printer = (planned: PlannedPassage, options?: PrintOptions) => Result<PrintedPart>;

const FOOT = 110;

/** Bars that the engraver draws, by index: the inner ones of gathered rests are not among them. */
function drawnBars(xml: string): number[] {
  const out: number[] = [];
  let skip = 0;
  const part = childOf(readXml(xml) ?? element('none', {}), 'part') ?? element('none', {});
  elementsOf(part).forEach((measure, i) => {
    if (skip-- > 0) return;
    skip = 0;
    out.push(i);
    mapElements(measure, (e) => {
      if (e.name === 'multiple-rest') skip = Math.max(0, Number(textIn(e)) - 1);
      return e;
    });
  });
  return out;
}

/** The room for music on a page. */
const roomOf = (paper: Paper, first: boolean) => ({
  width: paper.width - 2 * MARGIN,
  top: MARGIN + (first ? HEADING : 0),
  height: paper.height - 2 * MARGIN - FOOT / 2 - (first ? HEADING : 0),
});

interface Sheets {
  readonly toolkit: Toolkit;
  readonly paper: Paper;
}

/** The engraver's units to a tenth of a millimetre: a staff of 6.5 mm (common practice), or smaller to fit a page. */
const SIZES = [1.1, 1.15, 1.2, 1.3, 1.4, 1.6] as const;
/** No page holds more bars than this. */
const MOST_BARS = 36;

/** Lays out drawn bars `from` to `to` (places, both ends included) and tells how many pages they take. */
function layRange(
  { toolkit, paper }: Sheets,
  from: number,
  to: number,
  first: boolean,
  size: number = SIZES[0],
): number {
  const room = roomOf(paper, first);
  toolkit.setOptions({
    pageWidth: Math.round(room.width * size),
    pageHeight: Math.round(room.height * size),
    pageMarginLeft: 30,
    pageMarginRight: 5,
    pageMarginTop: 20,
    pageMarginBottom: 0,
    adjustPageHeight: false,
    scale: 100,
    header: 'none',
    footer: 'none',
    breaks: 'auto',
    svgViewBox: true,
    svgRemoveXlink: true,
    smuflTextFont: 'embedded',
    octaveAlternativeSymbols: true,
    multiRestStyle: 'block',
    spacingSystem: 8,
    justifyVertically: true,
    minLastJustification: 0.55,
    inputFrom: 'musicxml',
  });
  toolkit.select({ measureRange: `${from + 1}-${to + 1}` });
  toolkit.redoLayout();
  return toolkit.getPageCount();
}

const countBars = (svg: string): number => svg.match(/class="measure"/g)?.length ?? 0;

/** The turns of a part, page by page, in bars of the passage. */
function chooseTurns(sheets: Sheets, bars: readonly number[], all: readonly Turn[]): Turn[] {
  const out: Turn[] = [];
  let from = 0;
  for (;;) {
    const to = Math.min(bars.length - 1, from + MOST_BARS);
    if (layRange(sheets, from, to, from === 0) <= 1 && to === bars.length - 1) return out;
    const count = Math.max(1, countBars(sheets.toolkit.renderToSVG(1)));
    const full = bars[from + count];
    if (full === undefined) return out;
    const turn = chooseTurn(all, bars[from] ?? 0, full, (bar) => bars.includes(bar));
    if (turn === null) return out;
    out.push(turn);
    from = bars.indexOf(turn.bar);
  }
}

/** A range of bars is drawn with its metre at the head of every page; a copyist prints it once, or where it changes. */
function withoutMetre(root: Element): Element {
  let system = false;
  const plain = mapElements(root, (e) => {
    // Children come first: what stands before the first bar line is the head of the page.
    if (e.attributes['class'] === 'barLine') system = true;
    return e.attributes['class'] === 'meterSig' && !system ? null : e;
  });
  return plain ?? root;
}

/** The engraver's page set into the room of a sheet. */
function setIn(
  svg: string,
  copy: EngravingCopy,
  paper: Paper,
  place: { first: boolean; size: number; metre: boolean },
) {
  const { first, size } = place;
  const finished = finishSvg(svg, copy);
  const root = finished === null ? null : readXml(finished.svg);
  if (finished === null || root === null) return null;
  const room = roomOf(paper, first);
  const drawing = standalone(place.metre ? root : withoutMetre(root));
  const placed = {
    ...drawing,
    attributes: {
      viewBox: `0 0 ${Math.round(room.width * size)} ${Math.round(room.height * size)}`,
      ...drawing.attributes,
      x: String(MARGIN),
      y: String(room.top),
      width: String(room.width),
      height: String(room.height),
    },
  };
  return { placed, font: finished.font };
}

/** Whether the metre of a bar, by index, is not that of the bar before. */
function newMetre(planned: PlannedPassage, index: number): boolean {
  const [before, here] = [planned.passage.bars[index - 1]?.metre, planned.passage.bars[index]?.metre];
  return before === undefined || before.beats !== here?.beats || before.unit !== here.unit;
}

/** The printed part by a running engraver. */
function print(toolkit: Toolkit, planned: PlannedPassage, options: PrintOptions): Result<PrintedPart> {
  const paper = PAPERS[options.paper ?? 'a4'];
  const music = { ...PRINT_MUSIC, ...options.music };
  const sheets = { toolkit, paper };
  const load = (given: MusicXmlOptions): { copy: EngravingCopy; bars: number[] } | null => {
    const xml = writeMusicXml(planned, given);
    const copy = engravingCopy(xml);
    toolkit.select({});
    toolkit.resetXmlIdSeed(1);
    return copy !== null && toolkit.loadData(copy.xml) ? { copy, bars: drawnBars(xml) } : null;
  };
  const plain = load(music);
  if (plain === null) return refused('a part that the engraver cannot read');
  const chosen = chooseTurns(sheets, plain.bars, turns(planned.passage));
  // Written again with the turns known, so that the setting of what follows is shown before each.
  const final = chosen.length === 0 ? plain : load({ ...music, pageBreaks: chosen.map(({ bar }) => bar) });
  if (final === null) return refused('a part that the engraver cannot read');
  const starts = [0, ...chosen.map(({ bar }) => final.bars.indexOf(bar))];
  let font: string | null = null;
  const inner = [];
  for (const [i, from] of starts.entries()) {
    const to = (starts[i + 1] ?? final.bars.length) - 1;
    // The setting shown before a turn can make a full page too full: it is set a little smaller.
    const size = SIZES.find((each) => layRange(sheets, from, to, i === 0, each) <= 1) ?? SIZES[0];
    const count = layRange(sheets, from, to, i === 0, size);
    for (let page = 1; page <= count; page++) {
      const set = setIn(toolkit.renderToSVG(page), final.copy, paper, {
        ...{
          first: i === 0 && page === 1,
          size,
          metre: page === 1 && newMetre(planned, final.bars[from] ?? 0),
        },
      });
      if (set === null) return refused('a drawing that is not well-formed');
      font ??= set.font;
      inner.push(set.placed);
    }
  }
  const carried = options.carryFont === true ? font : null;
  const { title } = planned.passage;
  const pages = inner.map((placed, i) =>
    writeXml(
      sheet(paper, `${title === '' ? 'Harp part' : title}, page ${i + 1}`, carried, [
        ...(i === 0 ? heading(planned, paper) : []),
        placed,
        footer(planned, paper, i + 1, inner.length),
      ]),
    ),
  );
  return ok({ pages, turns: chosen, font });
}

/** Starts an engraver for paper: 7 MB of program, so call it once, lazily, off the main thread. */
export async function loadPrinter(): Promise<Printer> {
  const toolkit = await startToolkit();
  return (planned, options = {}) => print(toolkit, planned, options);
}
