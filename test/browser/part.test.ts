// A part that a user brings: opened, checked, mended, undone, taken away; a piano part arranged; work saved and opened.
import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { readPart } from '../../src/interchange/read-part';
import { checkPart } from '../../src/proposals/check';
import { DESKTOP, PHONE, SHOTS, overflow, servedPage, violations } from './visit';

const visit = servedPage(4754);

const note = (step: string, alter: number, octave: number, more: string, chord = false): string =>
  `<note>${chord ? '<chord/>' : ''}<pitch><step>${step}</step>${alter === 0 ? '' : `<alter>${alter}</alter>`}<octave>${octave}</octave></pitch><duration>4</duration>${more}</note>`;
const voice = (v: number, staff: number): string =>
  `<voice>${v}</voice><type>whole</type><staff>${staff}</staff>`;

/** Two bars for a harp, in the second a B flat against a B: no pedal gives both. Invented. */
const clash = (part: string): string => `<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0"><work><work-title>Slip of the pen</work-title></work>
<part-list><score-part id="P1"><part-name>${part}</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions><key><fifths>0</fifths></key>
<time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves>
<clef number="1"><sign>G</sign><line>2</line></clef><clef number="2"><sign>F</sign><line>4</line></clef></attributes>
<direction placement="above"><direction-type><words>dolcissimo</words></direction-type><sound tempo="72"/></direction>
${note('C', 0, 5, voice(1, 1))}<backup><duration>4</duration></backup>${note('C', 0, 3, voice(5, 2))}</measure>
<measure number="2">${note('B', 0, 4, voice(1, 1))}<backup><duration>4</duration></backup>${note('B', -1, 3, voice(5, 2))}${note('D', 0, 4, voice(5, 2), true)}</measure>
</part></score-partwise>`;

const bring = (page: Page, name: string, text: string): Promise<void> =>
  page.getByTestId('part-file').setInputFiles({ name, mimeType: 'text/xml', buffer: Buffer.from(text) });
const scored = (page: Page): Promise<void> =>
  page.locator('[data-testid=score] g.note').first().waitFor({ timeout: 60_000 });

describe('a part that is brought', () => {
  it('is checked, mended, undone, taken away and kept', async () => {
    const { page, context, complaints } = await visit(DESKTOP);
    await page.getByTestId('desk-part').click();
    await bring(page, 'slip.musicxml', clash('Harp'));
    await page.getByTestId('repairs').waitFor({ timeout: 60_000 });
    await scored(page);
    const errors = page.locator('[data-testid=remarks] li.error');
    expect(await errors.count()).toBe(1);
    expect(await errors.innerText()).toMatch(/Bar 2, beat 1: .*B/);
    expect(await page.getByTestId('check-summary').innerText()).toContain('Bar 2, beat 1');
    await page.screenshot({ path: `${SHOTS}part-checked.png`, fullPage: true });
    expect(await violations(page)).toEqual([]);

    // A bad file is told of in a sentence, and what was open stays open.
    await bring(page, 'shopping.txt', 'eggs, flour');
    expect(await page.getByTestId('part-fault').innerText()).toMatch(/“shopping\.txt”: .+\./);
    expect(await errors.count()).toBe(1);

    // All at once, one undone singly, undone by key.
    await page.getByTestId('mend-all').click();
    await errors.first().waitFor({ state: 'detached', timeout: 30_000 });
    await page.getByRole('button', { name: 'Undo', exact: true }).click();
    await errors.first().waitFor({ timeout: 30_000 });
    expect(await page.getByTestId('repair').count()).toBeGreaterThanOrEqual(2);
    await page.getByTestId('repair').first().check();
    await errors.first().waitFor({ state: 'detached', timeout: 30_000 });

    // The user's own file, mended: its words stay, and nothing in it is beyond playing.
    const [file] = await Promise.all([
      page.waitForEvent('download', { timeout: 60_000 }),
      page.getByTestId('mended-file').click(),
    ]);
    expect(file.suggestedFilename()).toBe('slip-mended.musicxml');
    const text = readFileSync(await file.path(), 'utf8');
    expect(text).toContain('<words>dolcissimo</words>');
    const read = readPart('slip-mended.musicxml', new TextEncoder().encode(text));
    if (!read.ok) throw new Error('the mended file could not be read');
    expect(checkPart(read.value).problems.filter((p) => p.severity === 'error')).toEqual([]);

    // The report, as a text for a harpist.
    const [report] = await Promise.all([page.waitForEvent('download'), page.getByTestId('report').click()]);
    expect(readFileSync(await report.path(), 'utf8')).toContain("A harpist's word outranks this report.");

    // Away and back.
    await page.waitForTimeout(700);
    await page.reload();
    await page.getByTestId('repairs').waitFor({ timeout: 60_000 });
    await scored(page);
    expect(await page.getByTestId('repair').first().isChecked()).toBe(true);
    expect(await errors.count()).toBe(0);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('for the piano is arranged, every change refusable, heard before and after', async () => {
    const { page, context, complaints } = await visit(DESKTOP);
    await page.getByTestId('desk-part').click();
    const chords = clash('Piano').replace(
      note('C', 0, 5, voice(1, 1)),
      ['C', 'D', 'E', 'G', 'B']
        .map((step, i) => note(step, 0, step === 'B' ? 5 : 5, voice(1, 1), i > 0))
        .join(''),
    );
    await bring(page, 'song.musicxml', chords);
    await page.getByTestId('kept').waitFor({ timeout: 60_000 });
    await scored(page);
    await page.locator('[data-testid=plain-score] g.note').first().waitFor({ timeout: 60_000 });
    expect(await page.getByTestId('kept').innerText()).toMatch(/Top line kept\s*\d+/);
    const changes = page.getByTestId('change');
    expect(await changes.count()).toBeGreaterThan(0);
    await page.screenshot({ path: `${SHOTS}part-arranged.png`, fullPage: true });
    expect(await violations(page)).toEqual([]);

    await page.getByTestId('play-piano').click();
    await page
      .locator('[data-testid=plain-score] g.lit')
      .first()
      .waitFor({ state: 'attached', timeout: 20_000 });
    await page.getByTestId('play').click();
    await page.locator('[data-testid=score] g.lit').first().waitFor({ state: 'attached', timeout: 20_000 });
    // The chords that were heard can be set right, and a bar put in another figure.
    await page.getByTestId('chords-heard').locator('summary').click();
    await page.getByTestId('chord-heard').first().fill('Em7');
    await page.getByTestId('chord-heard').first().blur();
    await page.getByRole('button', { name: 'As they were heard' }).waitFor();
    await page.getByTestId('other-figure').selectOption('rolled-chords');
    await page.getByTestId('retexture').click();
    await page.getByRole('button', { name: 'take back' }).waitFor();
    await page.locator('[data-testid=score] g.note[id^="r0."]').first().waitFor({ timeout: 30_000 });
    expect(await violations(page)).toEqual([]);
    await page.getByTestId('difficulty-easy').check();
    await page.getByText('arranged for the harp, easy').waitFor({ timeout: 30_000 });
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('goes with the chords into a file of saved work, and comes back from it', async () => {
    const { page, context } = await visit(DESKTOP);
    await page.getByTestId('progression').fill('Am7 | D9 | Gmaj7');
    await page.getByTestId('desk-part').click();
    await bring(page, 'slip.musicxml', clash('Harp'));
    await scored(page);
    const [saved] = await Promise.all([page.waitForEvent('download'), page.getByTestId('save-work').click()]);
    expect(saved.suggestedFilename()).toMatch(/\.harpwright\.json$/);
    const bytes = readFileSync(await saved.path());
    await context.close();

    const other = await visit(DESKTOP);
    const work = { name: 'work.harpwright.json', mimeType: 'application/json', buffer: bytes };
    await other.page.getByTestId('work-file').setInputFiles(work);
    await scored(other.page);
    expect(await other.page.getByRole('heading', { name: 'Slip of the pen' }).count()).toBe(1);
    await other.page.getByTestId('desk-chords').click();
    expect(await other.page.getByTestId('progression').inputValue()).toBe('Am7 | D9 | Gmaj7');
    await other.page.getByTestId('work-file').setInputFiles({ ...work, buffer: Buffer.from('{"eggs": 3}') });
    expect(await other.page.getByTestId('work-fault').innerText()).toMatch(/.+\./);
    expect(await other.page.getByTestId('progression').inputValue()).toBe('Am7 | D9 | Gmaj7');
    await other.context.close();
  });

  it('on a phone', async () => {
    const { page, context, complaints } = await visit(PHONE);
    await page.getByTestId('desk-part').click();
    await bring(page, 'slip.musicxml', clash('Harp'));
    await page.getByTestId('repairs').waitFor({ timeout: 60_000 });
    await scored(page);
    await page.getByTestId('score-drawer').locator('summary').click();
    expect(await overflow(page)).toBeLessThanOrEqual(0);
    expect(await violations(page)).toEqual([]);
    await page.screenshot({ path: `${SHOTS}part-phone.png`, fullPage: true });
    expect(complaints).toEqual([]);
    await context.close();
  });
});
