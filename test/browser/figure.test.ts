// A figure of the user's own: brought, tried at once, kept, taken out; a mistake told with its place.
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { DESKTOP, SHOTS, propose, servedPage, violations } from './visit';

const visit = servedPage(4756);
const preset = readFileSync(new URL('../../presets/figures/rolled-chords.json', import.meta.url), 'utf8');
const own = JSON.stringify({ ...(JSON.parse(preset) as object), id: 'quay-bells', name: 'Quay bells' });

describe('a figure of one’s own', () => {
  it('is proposed as soon as it is brought', async () => {
    const { page, context, complaints } = await visit(DESKTOP);
    await page.locator('summary', { hasText: 'Families' }).click();
    const bring = (name: string, text: string): Promise<void> =>
      page
        .getByTestId('figure-file')
        .setInputFiles({ name, mimeType: 'application/json', buffer: Buffer.from(text) });
    await bring('broken.json', own.replace('"id"', '"idd"'));
    expect(await page.getByTestId('figure-fault').innerText()).toMatch(/“broken\.json”: .*\bid\b/);
    await bring('bells.json', own);
    await page.getByText('Quay bells').first().waitFor();
    await propose(page);
    expect(await page.locator('[data-testid=proposal-card][data-family=quay-bells]').count()).toBeGreaterThan(
      0,
    );
    expect(await violations(page)).toEqual([]);
    await page.screenshot({ path: `${SHOTS}own-figure.png` });

    await page.waitForTimeout(700);
    await page.reload();
    await page
      .locator('[data-testid=proposal-card][data-family=quay-bells]')
      .first()
      .waitFor({ timeout: 60_000 });
    await page.locator('summary', { hasText: 'Families' }).click();
    await page.getByRole('button', { name: 'Take out Quay bells' }).click();
    await propose(page);
    await page
      .locator('[data-testid=proposal-card][data-family=quay-bells]')
      .first()
      .waitFor({ state: 'detached' });
    expect(complaints).toEqual([]);
    await context.close();
  });
});
