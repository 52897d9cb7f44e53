// A part of 500 bars is checked with its progress told; one of 5,000 is given up in the middle, and the page goes on.
import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { DESKTOP, SHOTS, servedPage } from './visit';

const visit = servedPage(4795);

const note = (step: string, octave: number, length: number, voice: number, alter = 0): string =>
  `<note><pitch><step>${step}</step>${alter === 0 ? '' : `<alter>${alter}</alter>`}<octave>${octave}</octave></pitch><duration>${length}</duration><voice>${voice}</voice><type>${length === 1 ? 'eighth' : 'half'}</type><staff>${voice === 1 ? 1 : 2}</staff></note>`;
/** Broken chords over a bass, invented; every fourth bar asks for another pedal. */
function long(bars: number): string {
  const all = Array.from({ length: bars }, (_, i) => {
    const start =
      i > 0
        ? ''
        : '<attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves><clef number="1"><sign>G</sign><line>2</line></clef><clef number="2"><sign>F</sign><line>4</line></clef></attributes><sound tempo="80"/>';
    const alter = i % 8 < 4 ? 0 : -1;
    const right = ['C', 'E', 'G', 'E', 'C', 'E', 'G', 'B'].map((s) =>
      note(s, 4, 1, 1, s === 'B' || s === 'E' ? alter : 0),
    );
    const left = note('C', 2, 4, 5) + note('G', 2, 4, 5);
    return `<measure number="${i + 1}">${start}${right.join('')}<backup><duration>8</duration></backup>${left}</measure>`;
  });
  return `<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list><part id="P1">${all.join('')}</part></score-partwise>`;
}
const bring = (page: Page, name: string, text: string): Promise<void> =>
  page.getByTestId('part-file').setInputFiles({ name, mimeType: 'text/xml', buffer: Buffer.from(text) });
const heapMiB = (page: Page): Promise<number> =>
  page.evaluate(
    () =>
      (performance as unknown as { memory: { usedJSHeapSize: number } }).memory.usedJSHeapSize /
      (1024 * 1024),
  );

describe('a long part', () => {
  it('of 500 bars is checked to its end', { timeout: 120_000 }, async () => {
    const { page, context, complaints } = await visit(DESKTOP);
    await page.getByTestId('desk-part').click();
    await bring(page, 'long.musicxml', long(500));
    await page.getByTestId('check-summary').waitFor({ timeout: 100_000 });
    await page.locator('[data-testid=score] g.note').first().waitFor({ timeout: 60_000 });
    expect(await heapMiB(page)).toBeLessThan(600);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('of 5,000 is given up when that is asked, and the page goes on', { timeout: 180_000 }, async () => {
    const { page, context, complaints } = await visit(DESKTOP);
    await page.getByTestId('desk-part').click();
    await bring(page, 'endless.musicxml', long(5000));
    const stop = page.getByTestId('part-stop');
    await stop.waitFor({ timeout: 100_000 });
    await page.screenshot({ path: `${SHOTS}part-long.png` });
    await stop.click();
    await page.getByTestId('part-progress').waitFor({ state: 'detached', timeout: 30_000 });
    expect(await page.getByTestId('check-summary').count()).toBe(0);
    await bring(page, 'short.musicxml', long(4));
    await page.getByTestId('check-summary').waitFor({ timeout: 60_000 });
    await page.locator('[data-testid=score] g.note').first().waitFor({ timeout: 60_000 });
    expect(await heapMiB(page)).toBeLessThan(600);
    expect(complaints).toEqual([]);
    await context.close();
  });
});
