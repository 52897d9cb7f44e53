// The pedals as lanes: both feet named, strings that ring drawn, and the setting in force wherever the user points.
import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { DESKTOP, PHONE, SHOTS, overflow, propose, servedPage } from './visit';

const visit = servedPage(4794);
const here = (page: Page): Promise<string> => page.getByTestId('setting-here').innerText();

describe.each([
  ['desktop', DESKTOP],
  ['phone', PHONE],
] as const)('the lanes of the pedals, %s', (name, size) => {
  it('tell the setting in force by pointer, touch and keys', async () => {
    const { page, context, complaints } = await visit(size);
    await page.getByTestId('progression').fill('C | C#m7b5 F#7 | Bm7 Bbmaj7 | A7b9 Dm6');
    await propose(page);
    const lanes = page.getByTestId('pedal-lanes');
    await lanes.scrollIntoViewIfNeeded();
    const words = (await lanes.textContent()) ?? '';
    expect(words).toContain('left foot');
    expect(words).toContain('right foot');
    expect(await lanes.locator('.move').count()).toBeGreaterThan(0);
    // Strings that ring are drawn in the lane of their letter.
    expect(await lanes.locator('.ring').count()).toBeGreaterThan(0);
    const first = await here(page);
    expect(first).toMatch(/Bar 1, beat 1\n/);
    const box = await lanes.boundingBox();
    if (box === null) throw new Error('drawn');
    const right = Math.min(box.x + box.width, size.width) - 20;
    if (size === DESKTOP) {
      await page.mouse.move(right, box.y + box.height / 2);
      expect(await here(page)).not.toBe(first);
      await page.mouse.move(0, 0);
      expect(await here(page)).toBe(first);
    } else {
      // A finger: the place stays after it is lifted.
      const at = { clientX: right, clientY: box.y + box.height / 2 };
      await lanes.dispatchEvent('pointerdown', { pointerType: 'touch', ...at });
      await lanes.dispatchEvent('pointerleave', { pointerType: 'touch', ...at });
      expect(await here(page)).not.toBe(first);
    }
    await lanes.focus();
    for (let i = 0; i < 40; i++) await page.keyboard.press('ArrowLeft');
    const told: string[] = [];
    const label = (await lanes.getAttribute('aria-label')) ?? '';
    const instants = new Set([...label.matchAll(/bar \w+, beat [\d.]+/g)].map((m) => m[0]));
    for (let i = 0; i < instants.size; i++) {
      await page.keyboard.press('ArrowRight');
      told.push(await here(page));
    }
    // Arrow keys go from move to move, and each leaves another setting in force.
    const places = told.map((t) => /bar \w+, beat [\d.]+/i.exec(t)?.[0].toLowerCase());
    for (const place of [...instants].filter((p) => p !== 'bar 1, beat 1')) expect(places).toContain(place);
    expect(await overflow(page)).toBeLessThanOrEqual(0);
    await page.screenshot({ path: `${SHOTS}lanes-${name}.png` });
    expect(complaints).toEqual([]);
    await context.close();
  });
});
