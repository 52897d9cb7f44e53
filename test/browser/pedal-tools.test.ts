// What the pedals can do besides, driven in the page: cheaper neighbours, two harps, a glissando looked for.
import { readFileSync } from 'node:fs';
import type { Download, Page } from 'playwright-core';
import { describe, expect, it } from 'vitest';
import { settingAt } from '../../src/harp/planned';
import { PEDALS, positionOf } from '../../src/harp/setting';
import { INSTRUMENTS } from '../../src/harp/instrument';
import { readPart } from '../../src/interchange/read-part';
import { ticks } from '../../src/base/units';
import { pitchClass } from '../../src/music/pitch';
import { checkPart } from '../../src/proposals/check';
import { DESKTOP, PHONE, SHOTS, overflow, propose, servedPage, transport, violations } from './visit';

const visit = servedPage(4758);

async function taken(page: Page, press: () => Promise<void>): Promise<{ name: string; text: string }> {
  const [file]: [Download, void] = await Promise.all([
    page.waitForEvent('download', { timeout: 60_000 }),
    press(),
  ]);
  return { name: file.suggestedFilename(), text: readFileSync(await file.path(), 'utf8') };
}
function partIn({ name, text }: { name: string; text: string }) {
  const read = readPart(name, new TextEncoder().encode(text));
  if (!read.ok) throw new Error(`${name} could not be read`);
  return read.value;
}
const movesIn = (file: { name: string; text: string }): number =>
  checkPart(partIn(file)).planned.moves.length;

/** Chords that keep the feet busy. */
async function chromatic(page: Page): Promise<void> {
  await page.getByTestId('progression').fill('C | C#m7b5 F#7 | Bm7 Bbmaj7 | A7b9 Dm6');
  await propose(page);
}

describe('under the pedals of a proposal', () => {
  it('small changes that save moves are heard, shown, taken away and put back', async () => {
    const { page, context, complaints } = await visit(DESKTOP);
    await chromatic(page);
    const before = await taken(page, () => page.getByTestId('download-musicxml').click());

    // By keyboard alone.
    await page.locator('[data-testid=cheaper] summary').focus();
    await page.keyboard.press('Enter');
    const offers = page.getByTestId('neighbour');
    await offers.first().waitFor({ timeout: 60_000 });
    const first = await offers.first().innerText();
    expect(first).toMatch(/^Bar \d+, beat [\d.]+ .+ saved\./);
    const saves = Number(/(\d+) pedal moves? (?:is|are) saved/.exec(first)?.[1] ?? 0);
    expect(saves).toBeGreaterThan(0);

    await offers
      .first()
      .getByRole('button', { name: /Hear it/ })
      .click();
    await page.waitForFunction(
      () => document.querySelector('[data-testid=transport]')?.getAttribute('data-state') === 'playing',
    );
    await offers.first().getByRole('button', { name: /Stop/ }).click();
    expect(await transport(page, 'state')).toBe('stopped');

    await offers
      .first()
      .getByRole('button', { name: /Show it/ })
      .click();
    await page.getByTestId('put-back').waitFor();
    await page.locator('[data-testid=score] g.note').first().waitFor({ timeout: 60_000 });
    const changed = await taken(page, () => page.getByTestId('download-musicxml').click());
    expect(changed.name).not.toBe(before.name);
    expect(movesIn(changed)).toBe(movesIn(before) - saves);
    expect(await violations(page)).toEqual([]);
    await page.getByTestId('cheaper').scrollIntoViewIfNeeded();
    await page.screenshot({ path: `${SHOTS}pedal-tools-cheaper.png` });

    await page.getByTestId('put-back').click();
    const again = await taken(page, () => page.getByTestId('download-musicxml').click());
    expect(again).toEqual(before);
    expect(complaints).toEqual([]);
    await context.close();
  }, 180_000);

  it('two harps share it: the saving said, each part heard and taken away', async () => {
    const { page, context, complaints } = await visit(PHONE);
    await chromatic(page);
    await page.locator('[data-testid=two-harps] > summary').click();
    const parts = page.getByTestId('harp-part');
    await parts.first().waitFor({ timeout: 60_000 });
    expect(await parts.count()).toBe(2);
    const said = await page.getByTestId('split').first().innerText();
    expect(said).toMatch(/^Divided .+: \d+ pedal moves?; .+one harp/);
    const files = [];
    for (const name of ['Harp I', 'Harp II'])
      files.push(
        await taken(page, () => page.getByRole('button', { name: `MusicXML: ${name}`, exact: true }).click()),
      );
    const moves = files.reduce((sum, file) => sum + movesIn(file), 0);
    expect(moves).toBe(Number(/: (\d+) pedal move/.exec(said)?.[1]));
    for (const file of files) {
      const { problems } = checkPart(partIn(file));
      expect(problems.filter((p) => p.severity === 'error')).toEqual([]);
    }
    await page.getByRole('button', { name: 'Hear it: Harp II', exact: true }).click();
    await page.getByRole('button', { name: 'Stop: Harp II', exact: true }).click();
    expect(await overflow(page)).toBeLessThanOrEqual(0);
    expect(await violations(page)).toEqual([]);
    await page.getByTestId('two-harps').scrollIntoViewIfNeeded();
    await page.screenshot({ path: `${SHOTS}pedal-tools-two-harps-phone.png` });

    // Closed while it looks: nothing is left behind.
    await page.locator('[data-testid=two-harps] > summary').click();
    await parts.first().waitFor({ state: 'detached' });
    expect(await parts.count()).toBe(0);
    expect(complaints).toEqual([]);
    await context.close();
  }, 180_000);
});

describe('a glissando', () => {
  const answered = (page: Page): Promise<string> => page.getByTestId('gliss-told').innerText();
  const settings = (page: Page) => page.getByTestId('gliss-setting');

  it('is found by what is to sound, heard and taken away, and kept with the work', async () => {
    const { page, context, complaints } = await visit(DESKTOP);
    await page.getByTestId('desk-gliss').click();
    await page.getByTestId('gliss-text').fill('Bdim7');
    expect(await answered(page)).toMatch(/sounds? (exactly )?this/);
    expect(await settings(page).first().innerText()).toContain('Nothing else sounds.');
    const file = await taken(page, () => page.getByTestId('gliss-musicxml').first().click());
    const { planned } = checkPart(partIn(file));
    const sweep = planned.passage.sweeps[0];
    if (sweep === undefined) throw new Error('no sweep in the file');
    const setting = settingAt(planned, ticks(0));
    const sounds = new Set(PEDALS.map((l) => pitchClass(l, positionOf(setting, l))));
    expect([...sounds].sort((a, b) => a - b)).toEqual([2, 5, 8, 11]);

    await page.getByTestId('gliss-hear').first().click();
    await page.getByRole('button', { name: /^Stop: / }).click();
    await page.screenshot({ path: `${SHOTS}gliss-desk.png`, fullPage: true });

    // What no setting gives: the nearest, with what is wrong in each.
    await page.getByTestId('gliss-text').fill('C major');
    expect(await answered(page)).toMatch(/^4 settings/);
    await page.getByTestId('gliss-text').fill('C E G');
    expect(await answered(page)).toMatch(/^No setting .+ nearest/);
    expect(await settings(page).count()).toBeGreaterThan(1);
    for (const text of await settings(page).allInnerTexts()) expect(text).toMatch(/also sounds|lacks/i);
    await page.getByTestId('gliss-allow').fill('D A');
    expect(await settings(page).first().innerText()).toMatch(/as allowed/);

    // What cannot be read is said in a sentence.
    await page.getByTestId('gliss-undo').click();
    expect(await page.getByTestId('gliss-allow').inputValue()).toBe('');
    await page.getByTestId('gliss-redo').click();
    expect(await page.getByTestId('gliss-allow').inputValue()).toBe('D A');
    await page.getByTestId('gliss-text').fill('eggs');
    expect(await answered(page)).toMatch(/“eggs” is neither/);
    await page.getByTestId('gliss-text').fill('F# whole tone');
    await page.getByTestId('gliss-from').fill('C4');
    expect(await answered(page)).toMatch(/both ends/);
    await page.getByTestId('gliss-to').fill('C6');
    await page.getByTestId('gliss-shape').selectOption('thirds');
    expect(await settings(page).first().innerText()).toMatch(/thirds: /);
    expect(await violations(page)).toEqual([]);

    await page.reload();
    await page.getByTestId('gliss-text').waitFor();
    expect(await page.getByTestId('gliss-text').inputValue()).toBe('F# whole tone');
    expect(await page.getByTestId('gliss-shape').inputValue()).toBe('thirds');
    expect(complaints).toEqual([]);
    await context.close();
  }, 120_000);

  it('fits a phone', async () => {
    const { page, context, complaints } = await visit(PHONE);
    await page.getByTestId('desk-gliss').click();
    await page.getByTestId('gliss-text').fill('C E G');
    await settings(page).first().waitFor();
    expect(await overflow(page)).toBeLessThanOrEqual(0);
    expect(await violations(page)).toEqual([]);
    await page.screenshot({ path: `${SHOTS}gliss-desk-phone.png`, fullPage: true });
    expect(complaints).toEqual([]);
    await context.close();
  }, 120_000);
});

describe('another harp', () => {
  it('is chosen for proposals, which stay on its strings and name it', async () => {
    const { page, context, complaints } = await visit(DESKTOP);
    await page.getByTestId('harp').selectOption('petite-40');
    await propose(page);
    expect(await page.getByRole('article').first().innerText()).toContain('Pedal harp, 40 strings');
    const file = await taken(page, () => page.getByTestId('download-musicxml').click());
    const harp = INSTRUMENTS.find((i) => i.id === 'petite-40');
    if (harp === undefined) throw new Error('no such harp');
    const { problems } = checkPart(partIn(file), harp);
    expect(problems.filter((p) => p.severity === 'error')).toEqual([]);

    // The same file held against a lever harp, which has no pedals to tell of.
    await page.getByTestId('desk-part').click();
    await page.getByTestId('part-file').setInputFiles({
      name: file.name,
      mimeType: 'text/xml',
      buffer: Buffer.from(file.text),
    });
    await page.getByTestId('check-summary').waitFor({ timeout: 60_000 });
    await page.getByTestId('harp').selectOption('lever-34');
    await page.getByText('· Lever harp, 34 strings').waitFor({ timeout: 60_000 });
    expect(await page.getByTestId('two-harps').count()).toBe(0);
    expect(await violations(page)).toEqual([]);
    expect(complaints).toEqual([]);
    await context.close();
  }, 180_000);
});
