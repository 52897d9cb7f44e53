// The whole walk on the built page: type, list, hear, see, take away, come back.
import { mkdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { fileURLToPath } from 'node:url';
import { parseMidi } from 'midi-file';
import type { BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { perform } from '../../src/harp/performance';
import { readPart } from '../../src/interchange/read-part';
import { checkPart } from '../../src/proposals/check';
import { renderWav } from '../../src/sound/render-wav';
import { type BuiltPage, openBuiltPage } from './built-page';

const SHOTS = fileURLToPath(new URL('./shots/', import.meta.url));
const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const TEXT = 'Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9';

let built: BuiltPage;
let url = '';

beforeAll(async () => {
  mkdirSync(SHOTS, { recursive: true });
  built = await openBuiltPage(4748);
  url = built.url;
});
afterAll(() => built?.close());

interface Visit {
  readonly page: Page;
  readonly context: BrowserContext;
  /** Errors of the page and refusals by its content policy. */
  readonly complaints: string[];
}

async function visit(size: { width: number; height: number }): Promise<Visit> {
  const context = await built.browser.newContext({ viewport: size, acceptDownloads: true });
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error') complaints.push(message.text());
  });
  await page.goto(url);
  await page.getByTestId('progression').waitFor();
  return { page, context, complaints };
}

async function propose(page: Page): Promise<void> {
  await page.getByTestId('propose').click();
  await page.getByTestId('proposal-card').first().waitFor({ timeout: 60_000 });
  await page.locator('[data-testid=score] g.note').first().waitFor({ timeout: 60_000 });
}

const transport = (page: Page, name: string): Promise<string | null> =>
  page.getByTestId('transport').getAttribute(`data-${name}`);
const listed = (page: Page): Promise<string[]> => page.getByTestId('proposal-card').allInnerTexts();

/** Serious and critical violations, in words. */
async function violations(page: Page): Promise<string[]> {
  await page.evaluate(AXE);
  return page.evaluate(async () => {
    interface Axe {
      run(): Promise<{ violations: { id: string; impact: string | null; nodes: { html: string }[] }[] }>;
    }
    const { axe } = window as unknown as { axe: Axe };
    const result = await axe.run();
    return result.violations
      .filter((v) => v.impact === 'serious' || v.impact === 'critical')
      .map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 160)).join(' / ')}`);
  });
}
const overflow = (page: Page): Promise<number> =>
  page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);

describe('the walk', () => {
  it('from chords to a part that is heard, seen, taken away and kept', async () => {
    const { page, context, complaints } = await visit({ width: 1280, height: 900 });

    // A wrong chord is told where it stands, with what would be right.
    await page.getByTestId('progression').fill('Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/8zz');
    const problem = page.getByTestId('chord-problem');
    await problem.first().waitFor();
    expect(await problem.count()).toBe(1);
    expect(await problem.innerText()).toContain('Eb6/8zz');
    expect(await page.locator('.backdrop mark').allInnerTexts()).toEqual(['Eb6/8zz']);
    const [mark, area] = [
      await page.locator('.backdrop mark').boundingBox(),
      await page.getByTestId('progression').boundingBox(),
    ];
    expect(mark !== null && area !== null && mark.x > area.x && mark.y > area.y).toBe(true);
    await page.screenshot({ path: `${SHOTS}desktop-wrong-chord.png` });
    await page.getByTestId('progression').fill(TEXT);
    await problem.first().waitFor({ state: 'detached' });

    // Propose: a list, and a score with note heads and the opening diagram.
    await propose(page);
    expect(await page.getByTestId('proposal-card').count()).toBeGreaterThanOrEqual(10);
    const families = await page
      .getByTestId('proposal-card')
      .evaluateAll((cards) => [...new Set(cards.map((c) => c.getAttribute('data-family')))]);
    expect(families.length).toBeGreaterThanOrEqual(5);
    const score = page.getByTestId('score');
    expect(await score.locator('g.note .notehead').count()).toBeGreaterThan(4);
    expect(await score.locator('g.pedal-diagram path').count()).toBe(9);
    expect(await score.innerText()).not.toContain('HARPPED');

    // Play: notes start, they are not silent, and they light up.
    await page.getByTestId('play').click();
    await page.waitForFunction(
      () => {
        const t = document.querySelector('[data-testid=transport]');
        return (
          Number(t?.getAttribute('data-notes-started')) > 2 && Number(t?.getAttribute('data-level')) > 0.001
        );
      },
      undefined,
      { timeout: 30_000 },
    );
    expect(await transport(page, 'state')).toBe('playing');
    await page.locator('[data-testid=score] g.lit').first().waitFor({ state: 'attached', timeout: 10_000 });
    await page.screenshot({ path: `${SHOTS}desktop.png`, fullPage: true });
    await page.getByRole('button', { name: 'Pause' }).click();
    expect(await transport(page, 'state')).toBe('paused');
    await page.getByTestId('play').click();
    await page.waitForFunction(
      () => document.querySelector('[data-testid=transport]')?.getAttribute('data-state') === 'playing',
    );
    await page.getByTestId('stop').click();
    await page.waitForFunction(
      () => document.querySelector('[data-testid=transport]')?.getAttribute('data-state') === 'stopped',
    );

    // Take away.
    const [xml] = await Promise.all([
      page.waitForEvent('download'),
      page.getByTestId('download-musicxml').click(),
    ]);
    expect(xml.suggestedFilename()).toMatch(/^lamplight-on-the-quay-[a-z-]+\.musicxml$/);
    const xmlText = readFileSync(await xml.path(), 'utf8');
    expect(xmlText.startsWith('<?xml')).toBe(true);
    expect(xmlText).toContain('<score-partwise');
    expect(xmlText).toContain('harp-pedals');
    const [midi] = await Promise.all([
      page.waitForEvent('download'),
      page.getByTestId('download-midi').click(),
    ]);
    expect(midi.suggestedFilename()).toMatch(/^lamplight-on-the-quay-[a-z-]+\.mid$/);
    const song = parseMidi(readFileSync(await midi.path()));
    expect(song.tracks.flat().filter((e) => e.type === 'noteOn').length).toBeGreaterThan(4);

    const [wav] = await Promise.all([
      page.waitForEvent('download', { timeout: 60_000 }),
      page.getByTestId('download-wav').click(),
    ]);
    expect(wav.suggestedFilename()).toMatch(/^lamplight-on-the-quay-[a-z-]+\.wav$/);
    // The terminal's `render` makes the same bytes of the part as it was taken away.
    const read = readPart('part.musicxml', new TextEncoder().encode(xmlText));
    if (!read.ok) throw new Error('the part could not be read');
    const { bytes } = renderWav(perform(checkPart(read.value).planned));
    expect(Buffer.compare(readFileSync(await wav.path()), Buffer.from(bytes))).toBe(0);

    expect(await violations(page)).toEqual([]);
    expect(await overflow(page)).toBeLessThanOrEqual(0);

    // Another proposal, then away and back: text, list and choice are kept.
    const third = page.getByTestId('proposal-card').nth(2);
    await third.getByRole('button', { pressed: false }).first().click();
    const before = await listed(page);
    await page.waitForTimeout(700);
    await page.reload();
    await page.getByTestId('proposal-card').first().waitFor({ timeout: 60_000 });
    expect(await page.getByTestId('progression').inputValue()).toBe(TEXT);
    expect(await listed(page)).toEqual(before);
    expect(await third.getByRole('button', { pressed: true }).count()).toBe(1);

    expect(complaints).toEqual([]);
    await context.close();
  });

  it('by keyboard alone', async () => {
    const { page, context } = await visit({ width: 1280, height: 900 });
    await page.getByTestId('progression').focus();
    await page.keyboard.press('Control+A');
    await page.keyboard.type('Am7 | D9 | Gmaj7');
    await page.keyboard.press('Control+Enter');
    await page.getByTestId('proposal-card').first().waitFor({ timeout: 60_000 });
    // From the first card on: its two buttons and those after it can be reached and pressed.
    await page.getByTestId('proposal-card').nth(1).getByRole('button').first().focus();
    await page.keyboard.press('Enter');
    expect(
      await page.getByTestId('proposal-card').nth(1).getByRole('button', { pressed: true }).count(),
    ).toBe(1);
    await page.keyboard.press('Tab');
    await page.keyboard.press('Enter');
    await page.waitForFunction(
      () => document.querySelector('[data-testid=transport]')?.getAttribute('data-state') !== 'stopped',
    );
    // Undo gives the first text back, redo the typed one.
    await page.getByTestId('progression').focus();
    for (let i = 0; i < 12; i++) await page.keyboard.press('Control+Z');
    expect(await page.getByTestId('progression').inputValue()).toBe(TEXT);
    for (let i = 0; i < 12; i++) await page.keyboard.press('Control+Y');
    expect(await page.getByTestId('progression').inputValue()).toBe('Am7 | D9 | Gmaj7');
    await context.close();
  });

  it('tells a note by pointer and by arrow keys, and plays from it', async () => {
    const { page, context, complaints } = await visit({ width: 1280, height: 900 });
    await page.emulateMedia({ reducedMotion: 'reduce' });
    await propose(page);
    const panel = page.getByTestId('note-panel');
    const notes = page.locator('[data-testid=score] g.note');
    await notes.nth(3).locator('.notehead').click({ force: true });
    await panel.getByRole('button', { name: 'Play from here' }).waitFor();
    expect(await panel.innerText()).toMatch(/Bar 1, beat .* hand[^]*String [A-G][1-7][^]*pedal/);
    expect(await page.locator('[data-testid=score] g.note[aria-pressed=true]').count()).toBe(1);
    // One stop for Tab; the arrows go through the notes, End to the last.
    expect(await page.locator('[data-testid=score] [tabindex="0"]').count()).toBe(1);
    const before = await panel.innerText();
    await page.locator('[data-testid=score] [tabindex="0"]').focus();
    await page.keyboard.press('ArrowRight');
    expect(await panel.innerText()).not.toBe(before);
    await page.keyboard.press('End');
    expect(await panel.innerText()).toContain('Bar 4');
    const label = await page.evaluate(() => document.activeElement?.getAttribute('aria-label'));
    expect(label).toMatch(/^[A-G][♭♯]?[1-7]\. Bar 4, beat /);
    expect(await page.locator('[data-testid=strings] .chosen').count()).toBe(1);
    await page.keyboard.press('Home');
    await page.keyboard.press('Enter');
    await page.waitForFunction(
      () => Number(document.querySelector('[data-testid=transport]')?.getAttribute('data-notes-started')) > 2,
    );
    // Fingers stand on the strings that sound; nothing swings where less motion is asked for.
    const fingers = page.locator('[data-testid=strings] .chip[visibility=visible]');
    await fingers.first().waitFor({ state: 'attached' });
    expect(await page.locator('[data-testid=strings] .string').count()).toBe(47);
    expect(
      await page
        .locator('[data-testid=strings] .blur')
        .evaluateAll((all) => all.filter((e) => (e.getAttribute('d') ?? '') !== '').length),
    ).toBe(0);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('counts in, goes round a bar, changes tempo, and keeps the switches', async () => {
    const { page, context, complaints } = await visit({ width: 1280, height: 900 });
    await propose(page);
    await page.getByTestId('sound-drawer').locator('summary').click();
    await page.getByLabel('Count a bar in').check();
    await page.getByLabel('In a room').uncheck();
    await page.getByLabel('Last bar').selectOption({ label: '1' });
    expect(await page.getByLabel('Again and again').first().isChecked()).toBe(true);
    await page.getByTestId('listening-tempo').fill('240');
    await page.getByTestId('play').click();
    await page.locator('.clock', { hasText: /^\([1-4]\)$/ }).waitFor({ timeout: 15_000 });
    // A bar lasts a second at ♩ = 240: after three it plays still, and never left the first bar.
    await page.waitForTimeout(3000);
    expect(await transport(page, 'state')).toBe('playing');
    const place = Number(await page.getByLabel('Place in the passage').inputValue());
    expect(place).toBeLessThan(4 * (60 / 84) + 0.1);
    await page.getByTestId('stop').click();
    await page.waitForTimeout(700);
    await page.reload();
    await page.getByTestId('proposal-card').first().waitFor({ timeout: 60_000 });
    await page.getByTestId('sound-drawer').locator('summary').click();
    expect(await page.getByLabel('Count a bar in').isChecked()).toBe(true);
    expect(await page.getByLabel('In a room').isChecked()).toBe(false);
    expect(await page.getByTestId('listening-tempo').inputValue()).toBe('240');
    expect(await violations(page)).toEqual([]);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('on a phone', async () => {
    const { page, context, complaints } = await visit({ width: 390, height: 844 });
    await propose(page);
    await page.screenshot({ path: `${SHOTS}phone.png`, fullPage: true });
    expect(await overflow(page)).toBeLessThanOrEqual(0);
    expect(await violations(page)).toEqual([]);
    // Everything that is opened stays within the page as well.
    for (const summary of await page.locator('summary').all()) await summary.click();
    await page.getByRole('radio', { name: 'As set here' }).check();
    await page.getByRole('radio', { name: 'B flat, up' }).focus();
    await page.keyboard.press('ArrowDown');
    expect(await overflow(page)).toBeLessThanOrEqual(0);
    expect(await violations(page)).toEqual([]);
    await page.screenshot({ path: `${SHOTS}phone-open.png`, fullPage: true });
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('gives one family alone where it is asked for, and tells what was refused and why', async () => {
    const { page, context } = await visit({ width: 1280, height: 900 });
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
    const { page, context } = await visit({ width: 1280, height: 900 });
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
    const { page, context, complaints } = await visit({ width: 1280, height: 900 });
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
    const { page, context } = await visit({ width: 1280, height: 900 });
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
