// Listening and looking: one note by pointer and keys, count-in, loop, tempo, switches that are kept.
import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { DESKTOP, propose, servedPage, transport, violations } from './visit';

const visit = servedPage(4750);
const sounding = (page: Page): Promise<unknown> =>
  page.locator('[data-testid=transport][data-state=playing]').waitFor({ timeout: 15_000 });

describe('listening', () => {
  it('tells a note by pointer and by arrow keys, and plays from it', async () => {
    const { page, context, complaints } = await visit(DESKTOP);
    await page.emulateMedia({ reducedMotion: 'reduce' });
    await propose(page);
    const panel = page.getByTestId('note-panel');
    const notes = page.locator('[data-testid=score] g.note');
    await notes.nth(3).locator('.notehead').click({ force: true });
    // One click tells, and plays on from there: from the note's own time, not from the start.
    await sounding(page);
    expect(await panel.innerText()).toMatch(/Bar 1, beat .* hand[^]*String [A-G][1-7][^]*pedal/);
    await notes.last().locator('.notehead').click({ force: true });
    await page.waitForFunction(() => {
      const place = document.querySelector<HTMLInputElement>('[data-testid=transport] .place');
      return place !== null && Number(place.value) > 0.6 * Number(place.max);
    });
    await panel.getByRole('button', { name: 'Pause' }).click();
    await panel.getByRole('button', { name: 'Play from here' }).waitFor();
    await notes.nth(3).locator('.notehead').click({ force: true });
    await sounding(page);
    // The space bar pauses at a note as it does elsewhere.
    await page.keyboard.press('Space');
    expect(await transport(page, 'state')).toBe('paused');
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

  it('leaves a clicked note alone where that is asked for, and remembers it', async () => {
    const { page, context, complaints } = await visit(DESKTOP);
    await propose(page);
    await page.getByTestId('click-plays').uncheck();
    const note = page.locator('[data-testid=score] g.note').nth(3).locator('.notehead');
    await note.click({ force: true });
    await page.getByTestId('note-play').waitFor();
    // The note alone sounds: the transport stays where it is.
    await page.waitForTimeout(800);
    expect(await transport(page, 'state')).toBe('stopped');
    await note.dblclick({ force: true });
    await sounding(page);
    await page.getByTestId('stop').click();
    await page.waitForTimeout(700);
    await page.reload();
    await page.getByTestId('proposal-card').first().waitFor({ timeout: 60_000 });
    expect(await page.getByTestId('click-plays').isChecked()).toBe(false);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('counts in, goes round a bar, changes tempo, and keeps the switches', async () => {
    const { page, context, complaints } = await visit(DESKTOP);
    await propose(page);
    await page.getByTestId('sound-drawer').locator('summary').click();
    await page.getByLabel('Count a bar in').check();
    await page.getByLabel('In a room').uncheck();
    await page.getByLabel('Last bar', { exact: true }).selectOption({ label: '1' });
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
});
