// The score as one long line: after a change the bars that look as before are the same elements, and all is drawn right.
import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { DESKTOP, servedPage } from './visit';

const visit = servedPage(4786);
const TEXT = Array.from({ length: 6 }, () => 'Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9').join(' | ');

interface Drawing {
  readonly shapes: readonly string[];
  /** Left edge, top, width and height of each, from the line's own corner. */
  readonly boxes: readonly number[];
}

/** Every glyph, line and word, as written. */
const drawing = (page: Page): Promise<Drawing> =>
  page.evaluate(() => {
    const svg = document.querySelector('[data-testid=score] svg');
    const shapes = [...(svg?.querySelectorAll('g.system use, g.system path, g.system text') ?? [])].filter(
      (e) => e.closest('.remark-mark') === null,
    );
    const corner = svg?.getBoundingClientRect();
    return {
      shapes: shapes.map((e) => `${e.tagName} ${e.getAttribute('href') ?? e.textContent}`),
      boxes: shapes.flatMap((e) => {
        const { left, top, width, height } = e.getBoundingClientRect();
        return [left - (corner?.left ?? 0), top - (corner?.top ?? 0), width, height];
      }),
    };
  });
const isOneLine = (page: Page): Promise<unknown> =>
  page.waitForFunction((bars) => {
    const all = document.querySelectorAll('[data-testid=score] svg[data-key]');
    return all.length === 1 && all[0]?.querySelectorAll('g.measure').length === bars;
  }, 24);

describe('one long line', () => {
  it('takes in only the bars that a change changes', async () => {
    const { page, context, complaints } = await visit(DESKTOP);
    await page.getByTestId('progression').fill(TEXT);
    await page.getByTestId('propose').click();
    await page.locator('[data-testid=score] g.note').first().waitFor({ timeout: 60_000 });
    await page.getByTestId('score-drawer').locator('summary').click();
    await page.getByTestId('score-line').check();
    await isOneLine(page);
    const before = await drawing(page);
    await page.evaluate(() => {
      for (const bar of document.querySelectorAll('[data-testid=score] g.measure'))
        bar.classList.add('stood');
    });
    // A note that has another spelling gets it.
    const notes = page.locator('[data-testid=score] g.note[role=button]');
    const other = page.getByTestId('spell-other').first();
    for (let i = 60; i < 400; i += 7) {
      await notes.nth(i).dispatchEvent('click');
      if (await other.isVisible()) break;
    }
    await other.click();
    await page.waitForFunction(
      () => document.querySelector('[data-testid=score] g.measure:not(.stood)') !== null,
      undefined,
      { timeout: 60_000 },
    );
    await page.waitForTimeout(300);
    const stood = await page.locator('[data-testid=score] g.measure.stood').count();
    expect(stood).toBeGreaterThan(12);
    expect(stood).toBeLessThan(24);
    await isOneLine(page);
    const patched = await drawing(page);
    expect(patched).not.toEqual(before);
    // Drawn anew as a whole it is the same.
    await page.getByTestId('score-line').uncheck();
    await page.waitForFunction(
      () => document.querySelectorAll('[data-testid=score] svg[data-key]').length > 3,
    );
    await page.getByTestId('score-line').check();
    await isOneLine(page);
    expect(await page.locator('[data-testid=score] g.measure.stood').count()).toBe(0);
    const anew = await drawing(page);
    expect(patched.shapes).toEqual(anew.shapes);
    const apart = patched.boxes.map((n, i) => Math.abs(n - (anew.boxes[i] ?? NaN)));
    expect(Math.max(...apart)).toBeLessThan(0.1);
    expect(await notes.count()).toBeGreaterThan(100);
    expect(complaints).toEqual([]);
    await context.close();
  }, 120_000);
});
