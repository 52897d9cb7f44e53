/** A part for paper: headed pages whose turns come where a hand is free. */

import { type Result, ok } from '../base/result';
import type { PlannedPassage } from '../harp/planned';
import { type MusicXmlOptions, writeMusicXml } from '../interchange/musicxml-write';
import { PRINT_MUSIC } from './defaults';
import { type FinishedSvg, finishSvg } from './finish-svg';
import { footer, heading } from './heading';
import { FIRST_GUESS, type PageRange, SIZES, loadPages, roomOf } from './page-range';
import { type Turn, chooseTurn, turns } from './page-turns';
import { MARGIN, PAPERS, type Paper, type PaperName, sheet } from './sheet';
import { standalone } from './standalone';
import { type Toolkit, refused, startToolkit } from './toolkit';
import type { Element } from 'xast';
import { mapElements, writeXml } from './xml-tree';

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

/** The turns of a part, page by page, in bars of the passage. */
function chooseTurns(range: PageRange, all: readonly Turn[]): Turn[] {
  const { bars } = range;
  const out: Turn[] = [];
  let from = 0;
  let guess = FIRST_GUESS;
  for (;;) {
    const to = Math.min(bars.length - 1, from + guess);
    const pages = range.lay(from, to, from === 0);
    if (pages <= 1 && to === bars.length - 1) return out;
    if (pages <= 1) {
      guess *= 2;
      continue;
    }
    const count = Math.max(1, range.onFirstPage(from, to));
    guess = count + Math.ceil(count / 4) + 1;
    const full = bars[from + count];
    const turn =
      full === undefined ? null : chooseTurn(all, bars[from] ?? 0, full, (bar) => bars.includes(bar));
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
  { drawing }: FinishedSvg,
  paper: Paper,
  place: { first: boolean; size: number; metre: boolean },
): Element {
  const { first, size } = place;
  const room = roomOf(paper, first);
  const plain = standalone(place.metre ? drawing : withoutMetre(drawing));
  return {
    ...plain,
    attributes: {
      viewBox: `0 0 ${Math.round(room.width * size)} ${Math.round(room.height * size)}`,
      ...plain.attributes,
      x: String(MARGIN),
      y: String(room.top),
      width: String(room.width),
      height: String(room.height),
    },
  };
}

/** Whether the metre of a bar, by index, is not that of the bar before. */
function newMetre(planned: PlannedPassage, index: number): boolean {
  const [before, here] = [planned.passage.bars[index - 1]?.metre, planned.passage.bars[index]?.metre];
  return before === undefined || before.beats !== here?.beats || before.unit !== here.unit;
}

/** The pages of a part that is loaded, each turn in its place. */
function drawPages(
  range: PageRange,
  planned: PlannedPassage,
  chosen: readonly Turn[],
): { inner: Element[]; font: string | null } | null {
  const { bars, score, paper } = range;
  const starts = [0, ...chosen.map(({ bar }) => bars.indexOf(bar))];
  const notes = score.bars.flatMap((bar) => bar.notes);
  const rings = score.bars.flatMap((bar) => bar.rings);
  const damped = score.bars.flatMap((bar) => bar.damped);
  const inner: Element[] = [];
  let font: string | null = null;
  for (const [i, from] of starts.entries()) {
    const to = (starts[i + 1] ?? bars.length) - 1;
    // The setting shown before a turn can make a full page too full: it is set a little smaller.
    const fits = SIZES.find((each) => range.lay(from, to, i === 0, each) <= 1);
    const size = fits ?? SIZES[0];
    const count = fits === undefined ? range.lay(from, to, i === 0, size) : 1;
    for (let page = 1; page <= count; page++) {
      const finished = finishSvg(range.draw(page, font === null), { notes, rings, damped });
      if (finished === null) return null;
      font ??= finished.font;
      const first = i === 0 && page === 1;
      const metre = page === 1 && newMetre(planned, bars[from] ?? 0);
      inner.push(setIn(finished, paper, { first, size, metre }));
    }
  }
  return { inner, font };
}

/** The printed part by a running engraver. */
function print(toolkit: Toolkit, planned: PlannedPassage, options: PrintOptions): Result<PrintedPart> {
  const paper = PAPERS[options.paper ?? 'a4'];
  const music = { ...PRINT_MUSIC, ...options.music };
  const load = (given: MusicXmlOptions, before: PageRange | null = null) =>
    loadPages(toolkit, paper, writeMusicXml(planned, given), before);
  const plain = load(music);
  if (plain === null) return refused('a part that the engraver cannot read');
  const chosen = chooseTurns(plain, turns(planned.passage));
  // Written again with the turns known, so that the setting of what follows is shown before each.
  const again = chosen.length > 0 && music.pedals !== 'none';
  const final = again ? load({ ...music, pageBreaks: chosen.map(({ bar }) => bar) }, plain) : plain;
  if (final === null) return refused('a part that the engraver cannot read');
  const drawn = drawPages(final, planned, chosen);
  if (drawn === null) return refused('a drawing that is not well-formed');
  const { inner, font } = drawn;
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
