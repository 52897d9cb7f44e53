// The rules of a pedal plan, each set by hand in the page: pedals left alone, the harp's own key, spelling, emergencies.
import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { DESKTOP, PHONE, SHOTS, overflow, servedPage, violations } from './visit';

const visit = servedPage(4792);

const note = (name: string, octave: number, chord = false): string => {
  const alter = name.endsWith('b') ? -1 : name.endsWith('#') ? 1 : 0;
  return `<note>${chord ? '<chord/>' : ''}<pitch><step>${name[0]}</step>${alter === 0 ? '' : `<alter>${alter}</alter>`}<octave>${octave}</octave></pitch><duration>1</duration><voice>1</voice><type>quarter</type></note>`;
};
const score = (tempo: number, bars: readonly string[]): string =>
  `<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list><part id="P1">${bars
    .map(
      (notes, i) =>
        `<measure number="${i + 1}">${i === 0 ? `<attributes><divisions>1</divisions><key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time></attributes><sound tempo="${tempo}"/>` : ''}${notes}</measure>`,
    )
    .join('')}</part></score-partwise>`;

async function bring(page: Page, text: string): Promise<void> {
  await page.getByTestId('desk-part').click();
  await page
    .getByTestId('part-file')
    .setInputFiles({ name: 'rules.musicxml', mimeType: 'text/xml', buffer: Buffer.from(text) });
  await page.getByTestId('purpose-plan').check();
  await page.getByTestId('planned-file').waitFor({ timeout: 60_000 });
  await page.locator('[data-testid=score] g.note').first().waitFor({ timeout: 60_000 });
  await page.getByTestId('pedals-drawer').locator('summary').click();
}
const written = (page: Page, name: string, place: string) =>
  page.locator(`[data-testid=score] g.note[aria-label^="${name}"][aria-label*="${place}"]`);

describe.each([
  ['desktop', DESKTOP],
  ['phone', PHONE],
] as const)('the rules of a plan, %s', (name, size) => {
  it('leave a pedal alone, spell in the harp’s own key, and are undone', async () => {
    const { page, context, complaints } = await visit(size);
    await bring(page, score(90, [note('E', 4), note('Eb', 4)]));
    // E and E♭: the E pedal moves, or it is left alone and D♯ is plucked.
    await page.getByLabel('Leave E alone').selectOption('0');
    await written(page, 'D♯4', 'Bar 2').waitFor({ timeout: 60_000 });
    await page.getByLabel('Leave D alone').selectOption('0');
    await page.getByTestId('plan-refused').waitFor({ timeout: 60_000 });
    expect(await page.getByTestId('plan-refused').innerText()).toMatch(/No plan of the pedals/);
    await page.screenshot({ path: `${SHOTS}rules-locked-${name}.png` });
    await page.getByRole('button', { name: 'Undo', exact: true }).click();
    await page.getByTestId('plan-refused').waitFor({ state: 'detached' });
    expect(await page.getByLabel('Leave D alone').inputValue()).toBe('');
    await page.getByRole('button', { name: 'Undo', exact: true }).click();
    expect(await page.getByLabel('Leave E alone').inputValue()).toBe('');
    // C♭ where the orchestra has C: E is F♭.
    await page.getByLabel('The harp’s key signature').selectOption('-7');
    await written(page, 'F♭4', 'Bar 1').waitFor({ timeout: 60_000 });
    expect(await violations(page)).toEqual([]);
    expect(await overflow(page)).toBeLessThanOrEqual(0);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('let every pedal settle before its note, and say where none can', async () => {
    const { page, context, complaints } = await visit(size);
    // Quarters of 0.08 s.
    await bring(page, score(750, [note('E', 4) + note('Eb', 4)]));
    await page.getByLabel('Keep every spelling').check();
    await written(page, 'E♭4', 'Bar 1').waitFor({ timeout: 60_000 });
    await page.getByTestId('must-settle').check();
    const refused = page.getByTestId('plan-refused');
    await refused.waitFor({ timeout: 60_000 });
    expect(await refused.innerText()).toContain('not every pedal can stand 0.1 s before its note');
    await page.screenshot({ path: `${SHOTS}rules-settle-${name}.png` });
    await refused.getByRole('button', { name: 'Allow that' }).click();
    await refused.waitFor({ state: 'detached', timeout: 60_000 });
    expect(await page.getByTestId('must-settle').isChecked()).toBe(false);
    expect(complaints).toEqual([]);
    await context.close();
  });
  it('allow emergency moves where nothing else helps', async () => {
    const { page, context, complaints } = await visit(size);
    // Two neighbours of the left foot in a fifth of a second.
    await bring(page, score(300, [note('C', 4) + note('D', 4, true) + note('C#', 4) + note('D#', 4, true)]));
    await page.getByLabel('Keep every spelling').check();
    await page.getByTestId('plan-refused').waitFor({ timeout: 60_000 });
    expect(await page.getByTestId('plan-refused').innerText()).toContain(
      'With emergency moves it can be played',
    );
    await page.getByTestId('emergencies').check();
    await page.getByTestId('plan-refused').waitFor({ state: 'detached', timeout: 60_000 });
    await page.waitForFunction(() =>
      document.querySelector('article .variant')?.textContent.includes('2 pedal moves'),
    );
    await page.getByTestId('emergencies').uncheck();
    await page.getByTestId('plan-refused').waitFor({ timeout: 60_000 });
    expect(complaints).toEqual([]);
    await context.close();
  });
});
