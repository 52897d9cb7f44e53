/** Verovio behind one function: MusicXML in, clean SVG pages out. Runs in a worker, a page or Node. */

import type { VerovioOptions } from 'verovio/esm';
import { type Result, ok } from '../base/result';
import { type EngravingCopy, engravingCopy } from './engraving-copy';
import { finishSvg } from './finish-svg';
import { refused, startToolkit } from './toolkit';
import type { EngraveOptions, EngravedPage } from './types';

export type Engraver = (musicXml: string, options: EngraveOptions) => Result<EngravedPage>;

const NARROWEST = 240;
const WIDEST = 4000;

/** Page size in the engraver's units (hundredths of a scaled pixel), margins that leave room for words. */
export function engraverOptions({ width, scale, line = false }: EngraveOptions): VerovioOptions {
  const px = Math.min(WIDEST, Math.max(NARROWEST, Math.floor(width)));
  return {
    pageWidth: Math.round((px * 100) / scale),
    pageHeight: 60_000,
    pageMarginLeft: 45,
    pageMarginRight: 10,
    pageMarginTop: 60,
    pageMarginBottom: 30,
    adjustPageHeight: true,
    scale,
    header: 'none',
    footer: 'none',
    breaks: line ? 'none' : 'auto',
    adjustPageWidth: line,
    svgViewBox: true,
    svgRemoveXlink: true,
    smuflTextFont: 'embedded',
    octaveAlternativeSymbols: true,
    multiRestStyle: 'block',
    spacingSystem: 10,
    minLastJustification: 0.55,
    inputFrom: 'musicxml',
  };
}

/** The last part that was loaded; another width lays it out anew without reading it again. */
interface Loaded {
  readonly musicXml: string;
  readonly copy: EngravingCopy;
}

/**
 * Starts the engraver: 7 MB of program, so call it once, lazily, off the main thread. A page that was asked for last
 * is answered at once; the same part at another size is laid out anew, not read anew.
 */
export async function loadEngraver(): Promise<Engraver> {
  const toolkit = await startToolkit();
  let loaded: Loaded | null = null;
  let last: { asked: string; page: EngravedPage } | null = null;
  return (musicXml, options) => {
    const asked = JSON.stringify([musicXml, engraverOptions(options)]);
    if (last?.asked === asked) return ok(last.page);
    const again: Loaded | null = loaded?.musicXml === musicXml ? loaded : null;
    const copy = again?.copy ?? engravingCopy(musicXml);
    if (copy === null) return refused('text that is not MusicXML');
    toolkit.setOptions(engraverOptions(options));
    toolkit.resetXmlIdSeed(1);
    loaded = null;
    if (again === null) {
      if (!toolkit.loadData(copy.xml)) return refused('a part that the engraver cannot read');
    } else {
      toolkit.redoLayout();
    }
    const pages: string[] = [];
    let font: string | null = null;
    for (let page = 1; page <= toolkit.getPageCount(); page++) {
      const finished = finishSvg(toolkit.renderToSVG(page), copy);
      if (finished === null) return refused('a drawing that is not well-formed');
      pages.push(finished.svg);
      font ??= finished.font;
    }
    loaded = { musicXml, copy };
    last = { asked, page: { pages, font } };
    return ok(last.page);
  };
}
