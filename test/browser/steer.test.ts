// Steering: what is asked of all proposals, and what is said of one.
import { describe, expect, it } from 'vitest';
import { DESKTOP, PHONE, SHOTS, overflow, propose, servedPage, violations } from './visit';

const visit = servedPage(4760);

describe('steering', () => {
  it('holds every proposal to what was asked, and takes likes, keeps and rules', async () => {
    const { page, context, complaints } = await visit(DESKTOP);
    await page.getByTestId('progression').fill('C | E7 | Am | Fm6 | C');
    await page.getByTestId('steer').locator('summary').click();
    await page.getByTestId('steer-moves').fill('2');
    await page.getByTestId('steer-moves').blur();
    await propose(page);
    const moves = async (): Promise<number[]> =>
      (await page.getByTestId('proposal-card').allInnerTexts()).map((text) =>
        Number(/(\d+) pedal moves?/.exec(text)?.[1] ?? 0),
      );
    expect(Math.max(...(await moves()))).toBeLessThanOrEqual(2);

    const settled = (): Promise<unknown> =>
      page.waitForFunction(() => document.querySelector('.results')?.getAttribute('aria-busy') === 'false');
    await page.getByTestId('further-from').click();
    await settled();
    await page.getByText('Further from:').waitFor();
    await page.getByTestId('keep-bars').click();
    await settled();
    await page.getByText('Kept: bar 1').waitFor();
    await page.locator('summary', { hasText: /^Pedals/ }).click();
    await page.getByTestId('pedals-end').selectOption('natural');
    await propose(page);
    await settled();
    expect(await violations(page)).toEqual([]);
    await page.screenshot({ path: `${SHOTS}steer.png`, fullPage: true });

    await page.waitForTimeout(700);
    await page.reload();
    await page.getByTestId('proposal-card').first().waitFor({ timeout: 60_000 });
    expect(await page.getByTestId('steer').locator('summary').innerText()).toContain('at most 2 moves');
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('on a phone', async () => {
    const { page, context } = await visit(PHONE);
    await page.getByTestId('steer').locator('summary').click();
    await page.locator('summary', { hasText: /^Pedals/ }).click();
    await propose(page);
    expect(await overflow(page)).toBeLessThanOrEqual(0);
    expect(await violations(page)).toEqual([]);
    await context.close();
  });
});
