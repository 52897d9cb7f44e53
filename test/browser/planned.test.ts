// A part whose pedals are planned anew: rules, its own file, a refusal with ways out; which part of a file, and at what pitch.
import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { readPart } from '../../src/interchange/read-part';
import { DESKTOP, PHONE, SHOTS, overflow, servedPage, violations } from './visit';

const visit = servedPage(4780);

const note = (name: string, octave: number, beats: number): string => {
  const alter = name.endsWith('b') ? -1 : name.endsWith('#') ? 1 : 0;
  return `<note><pitch><step>${name[0]}</step>${alter === 0 ? '' : `<alter>${alter}</alter>`}<octave>${octave}</octave></pitch><duration>${beats}</duration><voice>1</voice><type>${beats === 1 ? 'quarter' : 'half'}</type></note>`;
};
const part = (id: string, inside: string, bars: readonly string[]): string =>
  `<part id="${id}">${bars
    .map(
      (notes, i) =>
        `<measure number="${i + 1}">${i === 0 ? `<attributes><divisions>1</divisions><key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time>${inside}</attributes>` : ''}${notes}</measure>`,
    )
    .join('')}</part>`;
const score = (parts: readonly (readonly [name: string, body: string])[]): string =>
  `<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0"><work><work-title>Weir</work-title></work><part-list>${parts
    .map(([name], i) => `<score-part id="P${i + 1}"><part-name>${name}</part-name></score-part>`)
    .join('')}</part-list>${parts.map(([, body]) => body).join('')}</score-partwise>`;

const HARP = [
  note('E', 4, 2) + note('G#', 4, 2),
  note('Ab', 4, 2) + note('D', 5, 2),
  note('Eb', 4, 2) + note('F', 5, 2),
];
const FLUTE = [note('A', 5, 2) + note('B', 5, 2)];
const both = score([
  ['Flute', part('P1', '', FLUTE)],
  ['Harp', part('P2', '', HARP)],
]);

const bring = (page: Page, name: string, text: string): Promise<void> =>
  page.getByTestId('part-file').setInputFiles({ name, mimeType: 'text/xml', buffer: Buffer.from(text) });
const head = (page: Page): Promise<string> => page.locator('article .variant').innerText();

describe.each([
  ['desktop', DESKTOP],
  ['phone', PHONE],
] as const)('the pedals of a part, %s', (name, size) => {
  it('are planned anew, by rules, around a spelling, into the file that was brought', async () => {
    const { page, context, complaints } = await visit(size);
    await page.getByTestId('desk-part').click();
    await bring(page, 'weir.musicxml', both);
    await page.getByTestId('purpose-plan').check();
    await page.getByTestId('planned-file').waitFor({ timeout: 60_000 });
    await page.locator('[data-testid=score] g.note').first().waitFor({ timeout: 60_000 });
    // G♯ and A♭ are one sound: E♭ and F after E and D want the one move.
    expect(await head(page)).toContain('1 pedal move · proven cheapest, and no plan has fewer');
    await page.getByTestId('pedals-drawer').locator('summary').click();
    await page.getByTestId('pedals-end').selectOption('natural');
    await page.waitForFunction(() =>
      document.querySelector('article .variant')?.textContent.includes('3 pedal moves'),
    );
    await page.getByTestId('feet').selectOption('beginner');
    expect(await page.getByTestId('feet-neighbour').inputValue()).toBe('0.875');
    await page.getByTestId('feet-reach').fill('0.9');
    await page.getByTestId('feet-reach').blur();
    expect(await page.getByTestId('feet').inputValue()).toBe('own');
    expect(await violations(page)).toEqual([]);
    expect(await overflow(page)).toBeLessThanOrEqual(0);
    await page.screenshot({ path: `${SHOTS}planned-${name}.png`, fullPage: true });
    for (let i = 0; i < 3; i++) await page.getByRole('button', { name: 'Undo', exact: true }).click();
    await page.waitForFunction(() =>
      document.querySelector('article .variant')?.textContent.startsWith('1 pedal'),
    );

    // A spelling of the user's own is planned around, and stands in the file.
    const gSharp = page.locator('[data-testid=score] g.note[aria-label*="4. Bar 1, beat 3"]');
    await gSharp.locator('.notehead').click({ force: true });
    const now = (await page.getByTestId('note-panel').innerText()).startsWith('G♯') ? 'Ab' : 'G#';
    await page.getByTestId('spell-other').click();
    await page.getByTestId('part-fixes').waitFor({ timeout: 60_000 });
    await page
      .locator(`[data-testid=score] g.note[aria-label^="${now === 'Ab' ? 'A♭' : 'G♯'}4. Bar 1, beat 3"]`)
      .waitFor({ timeout: 60_000 });
    const [file] = await Promise.all([
      page.waitForEvent('download'),
      page.getByTestId('planned-file').click(),
    ]);
    expect(file.suggestedFilename()).toBe('weir-pedals.musicxml');
    const text = readFileSync(await file.path(), 'utf8');
    expect(text).toContain('<part-name>Flute</part-name>');
    const read = readPart('weir.musicxml', Buffer.from(text));
    if (!read.ok) throw new Error('the file could not be read');
    expect(read.value.markings.settings).toHaveLength(1);
    const { pitch } = read.value.passage.plucks[1] ?? {};
    expect(`${pitch?.letter}${pitch?.alter === -1 ? 'b' : '#'}`).toBe(now);

    // Kept over a reload.
    await page.waitForTimeout(700);
    await page.reload();
    await page.getByTestId('part-fixes').waitFor({ timeout: 60_000 });
    expect(await page.getByTestId('purpose-plan').isChecked()).toBe(true);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('are refused with the reason and a way out that works', async () => {
    const { page, context } = await visit(size);
    await page.getByTestId('desk-part').click();
    // F, then F♯ a quarter later at ♩ = 300: faster than a pedal stands.
    const fast = [note('F', 4, 1) + note('F#', 4, 1) + note('F', 4, 1) + note('F#', 4, 1)];
    await bring(page, 'fast.musicxml', score([['Harp', part('P1', '', fast)]]));
    await page.getByTestId('purpose-plan').check();
    await page.getByTestId('part-tempo').fill('400');
    await page.getByTestId('part-tempo').blur();
    await page.getByTestId('pedals-drawer').locator('summary').click();
    await page.getByLabel('Keep every spelling').check();
    const refused = page.getByTestId('plan-refused');
    await refused.waitFor({ timeout: 60_000 });
    expect(await refused.innerText()).toMatch(/No plan of the pedals can do this\..*Bar 1/s);
    expect(await violations(page)).toEqual([]);
    expect(await overflow(page)).toBeLessThanOrEqual(0);
    await page.screenshot({ path: `${SHOTS}plan-refused-${name}.png` });
    await refused.getByRole('button', { name: 'Take that tempo' }).click();
    await refused.waitFor({ state: 'detached', timeout: 60_000 });
    await page.getByTestId('planned-file').waitFor();
    await context.close();
  });

  it('another part of the file is a choice away, and one that transposes is read where it sounds', async () => {
    const { page, context } = await visit(size);
    await page.getByTestId('desk-part').click();
    await bring(page, 'weir.musicxml', both);
    await page.locator('[data-testid=score] g.note').first().waitFor({ timeout: 60_000 });
    expect(await page.getByTestId('part-choice').inputValue()).toBe('Harp');
    await page.getByTestId('part-choice').selectOption('Flute');
    await page.locator('[data-testid=score] g.note[aria-label^="A5"]').waitFor({ timeout: 60_000 });
    expect(await overflow(page)).toBeLessThanOrEqual(0);

    const inB = '<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>';
    await bring(
      page,
      'in-b.musicxml',
      score([['Clarinet', part('P1', inB, [note('D', 5, 2) + note('E', 5, 2)])]]),
    );
    await page.getByTestId('part-transposed').waitFor({ timeout: 60_000 });
    // What was open stays until the user decides.
    expect(await page.getByTestId('part-choice').inputValue()).toBe('Flute');
    await page.getByTestId('part-transposed').click();
    await page.locator('[data-testid=score] g.note[aria-label^="C5"]').waitFor({ timeout: 60_000 });
    await context.close();
  });
});
