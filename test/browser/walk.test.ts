// The whole walk on the built page: type, list, hear, see, take away, come back.
import { readFileSync } from 'node:fs';
import { parseMidi } from 'midi-file';
import { describe, expect, it } from 'vitest';
import { perform } from '../../src/harp/performance';
import { readPart } from '../../src/interchange/read-part';
import { checkPart } from '../../src/proposals/check';
import { renderWav } from '../../src/sound/render-wav';
import {
  DESKTOP,
  PHONE,
  SHOTS,
  TEXT,
  listed,
  overflow,
  propose,
  servedPage,
  transport,
  violations,
} from './visit';

const visit = servedPage(4748);

describe('the walk', () => {
  it('from chords to a part that is heard, seen, taken away and kept', async () => {
    const { page, context, complaints } = await visit(DESKTOP);

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
    expect(await score.locator('g.pedal-diagram path').count()).toBe(8);
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
    const { page, context } = await visit(DESKTOP);
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

  it('on a phone', async () => {
    const { page, context, complaints } = await visit(PHONE);
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
});
