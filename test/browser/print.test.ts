// The printed part as a PDF made by the browser: as many pages as were engraved, of their size, with their words.
import { type Browser, chromium } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { findChromium } from '../../.ci/find-chromium.mjs';
import { ticks } from '../../src/base/units';
import { practiceSheet } from '../../src/engraving/practice-sheet';
import { loadPrinter } from '../../src/engraving/printable';
import type { PlannedPassage } from '../../src/harp/planned';
import { makeBars } from '../../src/music/metre';
import { richPassage } from '../interchange/rich-passage';
import { CHROMIUM_FLAGS } from './built-page';
import { pageCount, spellings } from './pdf';

let browser: Browser;
beforeAll(async () => {
  const executablePath = findChromium();
  if (executablePath === null) throw new Error('No Chrome or Chromium: install one, or set CHROMIUM_PATH.');
  browser = await chromium.launch({ executablePath, args: [...CHROMIUM_FLAGS] });
});
afterAll(() => browser?.close());

/** The rich passage five times over, so that it takes more than a page. */
function long(): PlannedPassage {
  const { passage, ...plan } = richPassage();
  const plucks = [0, 1, 2, 3, 4].flatMap((time) =>
    passage.plucks.map((p) => ({ ...p, id: `${p.id}.${time}`, onset: ticks(p.onset + time * 11 * 13_440) })),
  );
  const bars = makeBars({ beats: 4, unit: 4 }, 55);
  return { ...plan, passage: { ...passage, bars, plucks, rolls: [], slides: [] } };
}

describe('the printed part', () => {
  it('is a PDF with a page for each sheet, its title, composer, setting and tuning', async () => {
    const print = await loadPrinter();
    const answer = print(long(), { carryFont: true });
    if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
    const sheets = [...answer.value.pages, ...practiceSheet(long())];
    expect(answer.value.pages.length).toBeGreaterThan(1);
    const page = await browser.newPage();
    const style =
      '@page{size:A4;margin:0}body{margin:0}svg{display:block;break-after:page;width:210mm;height:296.9mm}';
    await page.setContent(`<!doctype html><style>${style}</style>${sheets.join('')}`);
    await page.evaluate(() => document.fonts.ready.then(() => true));
    const pdf = await page.pdf({ preferCSSPageSize: true, printBackground: true });
    await page.close();
    expect(pageCount(pdf)).toBe(sheets.length);
    expect(pdf.toString('latin1')).toMatch(/\/MediaBox\s*\[0 0 59[45](\.\d+)? 84[12](\.\d+)?\]/);
    const words = spellings(pdf).join('\n');
    for (const word of ['Lamplight on the Quay', 'A. Nonesuch', 'Concert harp, 47 strings', 'Tune by hand']) {
      expect(words).toContain(word);
    }
    expect(words).toContain(`${answer.value.pages.length}/${answer.value.pages.length}`);
    expect(words).toContain('moves.');
  });
});
