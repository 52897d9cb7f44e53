/** Ranges of bars laid out on pages of paper by an engraver that holds the whole part. */

import { HEADING } from './heading';
import { type ScoreCopy, barId, readScoreCopy, windowText } from './score-copy';
import { MARGIN, type Paper } from './sheet';
import type { Toolkit } from './toolkit';

const FOOT = 110;

/** The room for music on a page. */
export const roomOf = (paper: Paper, first: boolean) => ({
  width: paper.width - 2 * MARGIN,
  top: MARGIN + (first ? HEADING : 0),
  height: paper.height - 2 * MARGIN - FOOT / 2 - (first ? HEADING : 0),
});

/** The engraver's units to a tenth of a millimetre: a staff of 6.5 mm (common practice), or smaller to fit a page. */
export const SIZES = [1.1, 1.15, 1.2, 1.3, 1.4, 1.6] as const;
/** Bars that are laid out to see how many a first page takes; doubled where it takes them all. */
export const FIRST_GUESS = 20;

/** A part that is loaded; only one at a time, for the engraver holds one. */
export interface PageRange {
  readonly score: ScoreCopy;
  readonly paper: Paper;
  /** Bars that are drawn, by index: the inner ones of gathered rests are not among them. */
  readonly bars: readonly number[];
  /** Lays out drawn bars `from` to `to` (places in `bars`, both ends included) and tells how many pages they take. */
  lay(from: number, to: number, first: boolean, size?: number): number;
  /** How many of the bars that are laid out, `from` to `to`, stand on the first page. */
  onFirstPage(from: number, to: number): number;
  /** A page of what is laid out, from 1, as SVG. */
  draw(page: number, withFont: boolean): string;
}

function drawnBars({ bars }: ScoreCopy): number[] {
  const out: number[] = [];
  for (let i = 0; i < bars.length; i += bars[i]?.gathers ?? 1) out.push(i);
  return out;
}

/** Loads a part for paper, one like `before` sooner; null where the engraver cannot read it. */
export function loadPages(
  toolkit: Toolkit,
  paper: Paper,
  musicXml: string,
  before: PageRange | null = null,
): PageRange | null {
  const known = new Map(before?.score.bars.map((bar) => [bar.text, bar]));
  const score = readScoreCopy(musicXml, known);
  if (score === null) return null;
  toolkit.select({});
  toolkit.resetXmlIdSeed(1);
  // Nothing is laid out yet: each page will be, by itself.
  toolkit.setOptions({ breaks: 'none', smuflTextFont: 'embedded', inputFrom: 'musicxml' });
  if (!toolkit.loadData(windowText(score, 0, score.bars.length))) return null;
  const bars = drawnBars(score);
  const pageOf = (place: number): number => toolkit.getPageWithElement(barId(bars[place] ?? 0));
  return {
    score,
    paper,
    bars,
    lay: (from, to, first, size = SIZES[0]) => {
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
        octaveAlternativeSymbols: true,
        multiRestStyle: 'block',
        spacingSystem: 8,
        justifyVertically: true,
        minLastJustification: 0.55,
      });
      toolkit.select({ measureRange: `${from + 1}-${to + 1}` });
      toolkit.redoLayout();
      return toolkit.getPageCount();
    },
    onFirstPage: (from, to) => {
      let [here, beyond] = [from, to + 1];
      while (beyond - here > 1) {
        const middle = Math.floor((here + beyond) / 2);
        if (pageOf(middle) <= 1) here = middle;
        else beyond = middle;
      }
      return beyond - from;
    },
    draw: (page, withFont) => {
      toolkit.setOptions({ smuflTextFont: withFont ? 'embedded' : 'none' });
      return toolkit.renderToSVG(page);
    },
  };
}
