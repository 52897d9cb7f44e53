// Nothing that the user made is lost: a page reloaded at once, a closed tab, a file let fall beside its place.
import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { DEFAULT_WORK, requestOf } from '../../src/app/work';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { propose as proposed } from '../../src/proposals/propose';
import { DESKTOP, propose, servedPage, violations } from './visit';

const visit = servedPage(4788);

const [made] = proposed({ ...requestOf(DEFAULT_WORK.input), count: 1 }).proposals;
if (made === undefined) throw new Error('no part to bring');
const xml = writeMusicXml(made.planned);

/** Lets a file fall on the page's name, which takes no files itself. */
async function letFall(page: Page, name: string, text: string): Promise<void> {
  const data = await page.evaluateHandle(
    ([n, t]) => {
      const transfer = new DataTransfer();
      transfer.items.add(new File([t ?? ''], n ?? ''));
      return transfer;
    },
    [name, text],
  );
  await page.dispatchEvent('h1', 'dragover', { dataTransfer: data });
  await page.dispatchEvent('h1', 'drop', { dataTransfer: data });
}

describe('what the user made', () => {
  it('is there after a reload that comes at once, and in a tab opened after the first was closed', async () => {
    const { page, context } = await visit(DESKTOP);
    await page.getByTestId('progression').fill('Am7 | D9 | Gmaj7');
    await page.reload();
    expect(await page.getByTestId('progression').inputValue()).toBe('Am7 | D9 | Gmaj7');
    await propose(page);
    await page.getByTestId('proposal-card').nth(3).getByRole('button').first().click();
    const chosen = await page.locator('article h3').innerText();
    await page.getByTestId('melody-drawer').locator('summary').click();
    const url = page.url();
    await page.close({ runBeforeUnload: true });
    const next = await context.newPage();
    await next.goto(url);
    await next.locator('[data-testid=score] g.note').first().waitFor({ timeout: 60_000 });
    expect(await next.locator('article h3').innerText()).toBe(chosen);
    await context.close();
  });

  it('stays where a file is let fall beside its place, and the file is taken for what it is', async () => {
    const { page, context, complaints } = await visit(DESKTOP);
    const url = page.url();
    await letFall(page, 'quay.musicxml', xml);
    await page.locator('[data-testid=score] g.note').first().waitFor({ timeout: 60_000 });
    expect(await page.getByTestId('desk-part').getAttribute('aria-current')).not.toBeNull();
    // What is no music is told of, and what was open stays.
    await letFall(page, 'holiday.png', 'not a picture either');
    await page.getByTestId('part-fault').waitFor();
    expect(await page.getByText('quay.musicxml').count()).toBe(1);
    // A figure goes to the chords, saved work opens, a list of shopping is told of.
    const figure = readFileSync(new URL('../../presets/figures/wave.json', import.meta.url), 'utf8');
    await letFall(page, 'mine.json', figure.replace(/"id":\s*"[^"]+"/, '"id": "my-wave"'));
    await page.getByTestId('progression').waitFor();
    await page.locator('summary', { hasText: /^Families/ }).click();
    await page.getByRole('button', { name: /^Take out / }).waitFor();
    await letFall(page, 'list.json', '{"eggs": 6}');
    expect(await page.getByTestId('work-fault').innerText()).toMatch(/^“list\.json”: .+\.$/);
    expect(page.url()).toBe(url);
    expect(await violations(page)).toEqual([]);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('comes back by undo at each desk', async () => {
    const { page, context } = await visit(DESKTOP);
    await page.getByTestId('progression').fill('Am7 | D9 | Gmaj7');
    const [file] = await Promise.all([page.waitForEvent('download'), page.getByTestId('save-work').click()]);
    await page.getByTestId('progression').fill('C | F');
    await page.getByTestId('work-file').setInputFiles(await file.path());
    await page.waitForFunction(() =>
      (document.querySelector('[data-testid=progression]') as HTMLTextAreaElement).value.startsWith('Am7'),
    );
    await page.getByRole('button', { name: 'Undo', exact: true }).click();
    expect(await page.getByTestId('progression').inputValue()).toBe('C | F');
    await page.getByTestId('desk-gliss').click();
    await page.getByTestId('gliss-text').fill('Bb7');
    await page.reload();
    expect(await page.getByTestId('gliss-text').inputValue()).toBe('Bb7');
    await context.close();
  });
});
