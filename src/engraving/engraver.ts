/** Verovio behind one function: MusicXML in, clean SVG pages out. Runs in a worker, a page or Node. */

import type { VerovioOptions } from 'verovio/esm';
import { type Result, fail, ok } from '../base/result';
import { engravingCopy } from './engraving-copy';
import { finishSvg } from './finish-svg';
import type { EngraveOptions, EngravedPage } from './types';

export type Engraver = (musicXml: string, options: EngraveOptions) => Result<EngravedPage>;

const NARROWEST = 240;
const WIDEST = 4000;

/** Page size in the engraver's units (hundredths of a scaled pixel), margins that leave room for words. */
export function engraverOptions({ width, scale }: EngraveOptions): VerovioOptions {
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
    breaks: 'auto',
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

const refused = (value: string): Result<EngravedPage> =>
  fail({
    code: 'engraving',
    severity: 'error',
    where: { kind: 'file' },
    value,
    limit: 'MusicXML, score-partwise',
    source: 'MusicXML 4.0',
  });

/** Starts the engraver: 7 MB of program, so call it once, lazily, off the main thread. */
export async function loadEngraver(): Promise<Engraver> {
  const [wasm, esm] = await Promise.all([import('verovio/wasm'), import('verovio/esm')]);
  const module = await wasm.default();
  // Its remarks go to the console otherwise; what matters is in the answer.
  esm.enableLog(esm.LOG_OFF, module);
  const toolkit = new esm.VerovioToolkit(module);
  return (musicXml, options) => {
    const copy = engravingCopy(musicXml);
    if (copy === null) return refused('text that is not MusicXML');
    toolkit.setOptions(engraverOptions(options));
    toolkit.resetXmlIdSeed(1);
    if (!toolkit.loadData(copy.xml)) return refused('a part that the engraver cannot read');
    const pages: string[] = [];
    let font: string | null = null;
    for (let page = 1; page <= toolkit.getPageCount(); page++) {
      const finished = finishSvg(toolkit.renderToSVG(page), copy);
      if (finished === null) return refused('a drawing that is not well-formed');
      pages.push(finished.svg);
      font ??= finished.font;
    }
    return ok({ pages, font });
  };
}
