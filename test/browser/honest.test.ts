// What the page says when something cannot be: refused figures, words it cannot read, missing storage, long work.
import { describe, expect, it } from 'vitest';
import { DESKTOP, SHOTS, propose, servedPage, violations } from './visit';

const visit = servedPage(4752);

describe('an honest page', () => {
  it('gives one family alone where it is asked for, and tells what was refused and why', async () => {
    const { page, context } = await visit(DESKTOP);
    // G and G sharp at once: no setting has both, so a glissando over all of it cannot be.
    await page.getByTestId('progression').fill('Am(maj7)/G | Am(maj7)/G');
    await page.locator('summary', { hasText: 'Families' }).click();
    await page.getByRole('button', { name: 'Only Glissando', exact: true }).click();
    await page.getByTestId('propose').click();
    const refused = page.getByTestId('rejected');
    await refused.waitFor({ timeout: 60_000 });
    await page.waitForFunction(
      () => document.querySelector('.results')?.getAttribute('aria-busy') === 'false',
    );
    const families = await page
      .getByTestId('proposal-card')
      .evaluateAll((cards) => cards.map((c) => c.getAttribute('data-family')));
    expect(families.filter((f) => f !== 'glissando')).toEqual([]);
    await refused.locator('summary').click();
    expect(await refused.locator('dt').allInnerTexts()).toEqual(['Glissando']);
    expect((await refused.locator('dd').innerText()).length).toBeGreaterThan(20);
    expect(await violations(page)).toEqual([]);
    await page.screenshot({ path: `${SHOTS}desktop-refused.png`, fullPage: true });
    await context.close();
  });

  it('says what it cannot read, and why nothing can be proposed', async () => {
    const { page, context } = await visit(DESKTOP);
    await page.getByTestId('progression').fill('N.C. | N.C.');
    await page.getByText('Only rests so far').waitFor();
    expect(await page.getByTestId('propose').isDisabled()).toBe(true);
    await page.getByTestId('progression').fill('Cmaj7 | Hm7 | Dm7');
    await propose(page);
    expect(await page.locator('.unread').innerText()).toBe(
      '“Hm7” could not be read: there the harp is silent.',
    );
    await context.close();
  });

  it('keeps the work where IndexedDB is missing', async () => {
    const { page, context, complaints } = await visit(DESKTOP);
    await context.addInitScript(() => Object.defineProperty(window, 'indexedDB', { value: undefined }));
    await page.reload();
    await page.getByTestId('progression').fill('Dm7 | G7 | C6');
    // No wait: the page goes before the work would have been written.
    await page.reload();
    await page.waitForFunction(
      () =>
        document.querySelector<HTMLTextAreaElement>('[data-testid=progression]')?.value === 'Dm7 | G7 | C6',
    );
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('stays open to typing while it searches', async () => {
    const { page, context } = await visit(DESKTOP);
    const long = Array.from({ length: 32 }, (_, i) => ['Cmaj7', 'A7b9', 'Dm9', 'G13'][i % 4]).join(' | ');
    await page.getByTestId('progression').fill(long);
    await page.getByTestId('propose').click();
    // The longest gap between two frames while the search runs.
    const gap = await page.evaluate(
      () =>
        new Promise<number>((resolve) => {
          let [last, worst] = [performance.now(), 0];
          const step = (now: number): void => {
            worst = Math.max(worst, now - last);
            last = now;
            const busy = document.querySelector('.results')?.getAttribute('aria-busy') === 'true';
            if (busy) requestAnimationFrame(step);
            else resolve(worst);
          };
          requestAnimationFrame(step);
        }),
    );
    expect(gap).toBeLessThan(1000);
    await page.getByTestId('proposal-card').first().waitFor({ timeout: 60_000 });
    await context.close();
  });
});
