// What is asked of single notes, bars and limits: a spelling fixed, a limit lifted, bars let go, a melody accompanied.
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Page } from 'playwright-core';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { readPart } from '../../src/interchange/read-part';
import { DEFAULT_WORK, requestOf } from '../../src/app/work';
import { propose as proposed } from '../../src/proposals/propose';
import { DESKTOP, PHONE, SHOTS, overflow, propose, servedPage, violations } from './visit';

const visit = servedPage(4772);

const CHORDS = 'C | F#7 | Bm7b5 E7 | Am';
const settled = async (page: Page): Promise<void> => {
  await page.waitForFunction(
    () => document.querySelector('.results')?.getAttribute('aria-busy') === 'false',
    undefined,
    { timeout: 60_000 },
  );
};
/** Chooses a note of a page that may still be moving into place: a press that missed is made again. */
async function press(page: Page, id: string | null): Promise<void> {
  const note = page.locator(`[data-testid=score] g.note#${id}`);
  const chosen = page.locator(`[data-testid=score] g.note#${id}[aria-pressed=true]`);
  for (let tries = 0; tries < 5; tries++) {
    await note.locator('.notehead').click({ force: true, timeout: 60_000 });
    const found = await chosen.waitFor({ timeout: 3_000 }).then(
      () => true,
      () => false,
    );
    if (found) return;
  }
  throw new Error(`The note ${id} was pressed five times and not chosen.`);
}
/** The name of the note looked at, and who has its spelling. */
const looked = async (page: Page): Promise<string> => page.getByTestId('note-panel').innerText();

/** Looks at a note that is spelt with a sharp, by pointer. */
async function lookAtSharp(page: Page): Promise<string> {
  const note = page.locator('[data-testid=score] g.note[aria-label^="F♯"]').first();
  const id = await note.getAttribute('id');
  await note.locator('.notehead').click({ force: true });
  await page.getByTestId('spell-other').first().waitFor();
  return id ?? '';
}

async function spellings(page: Page, shot: string): Promise<void> {
  await page.getByTestId('progression').fill(CHORDS);
  await propose(page);
  // A proposal with an F♯ in it, whichever comes first.
  for (const card of await page.getByTestId('proposal-card').all()) {
    await card.getByRole('button').first().click();
    await page.waitForTimeout(600);
    if ((await page.locator('[data-testid=score] g.note[aria-label^="F♯"]').count()) > 0) break;
  }
  const name = await page.locator('article h3').innerText();
  const id = await lookAtSharp(page);
  expect(await looked(page)).toContain('F pedal down (sharp)');
  await page.getByTestId('spell-other').first().click();
  await settled(page);
  // The same figure, its note now on the other string, the pedals planned around it.
  await page.locator(`[data-testid=score] g.note#${id}[aria-label^="G♭"]`).waitFor({ timeout: 60_000 });
  expect(await page.locator('article h3').innerText()).toBe(name);
  expect(await looked(page)).toMatch(/G♭.*G pedal up \(flat\).*Spelt so by you/s);
  expect(await page.getByTestId('steer').locator('summary').innerText()).toContain('one note spelt by you');
  expect(await violations(page)).toEqual([]);
  await page.getByTestId('note-panel').scrollIntoViewIfNeeded();
  await page.screenshot({ path: `${SHOTS}spelling-${shot}.png` });
  // Kept over a reload.
  await page.waitForTimeout(700);
  await page.reload();
  await page.locator(`[data-testid=score] g.note#${id}[aria-label^="G♭"]`).waitFor({ timeout: 60_000 });
  await press(page, id);
  await page.getByTestId('spelling-free').click();
  await settled(page);
  await page.locator(`[data-testid=score] g.note#${id}[aria-label^="F♯"]`).waitFor({ timeout: 60_000 });
}

/** A pedal slide, written from a note of the first proposal, undone, and written again. */
async function slides(page: Page, shot: string): Promise<void> {
  await page.getByTestId('progression').fill(CHORDS);
  await propose(page);
  const note = page.locator('[data-testid=score] g.note').first();
  const id = await note.getAttribute('id');
  await note.locator('.notehead').click({ force: true });
  const moves = async (): Promise<number> => page.locator('[data-testid=pedal-lanes] .move').count();
  const before = await moves();
  await page.getByTestId('slide-open').click();
  await page.getByTestId('slide-place').selectOption({ index: 0 });
  await page.getByTestId('slide-write').click();
  await settled(page);
  await page.getByTestId('slide-away').waitFor({ timeout: 60_000 });
  expect(await looked(page)).toMatch(/Slides to .* as you asked/);
  expect(await moves()).toBeGreaterThan(before);
  expect(await page.getByTestId('steer').locator('summary').innerText()).toContain('one pedal slide');
  expect(await violations(page)).toEqual([]);
  await page.getByTestId('note-panel').scrollIntoViewIfNeeded();
  await page.screenshot({ path: `${SHOTS}slide-${shot}.png` });
  // Kept over a reload.
  await page.waitForTimeout(700);
  await page.reload();
  await press(page, id);
  await page.getByTestId('slide-away').click();
  await settled(page);
  await page.getByTestId('slide-open').waitFor({ timeout: 60_000 });
  expect(await moves()).toBe(before);
}

async function limits(page: Page, shot: string): Promise<void> {
  await page.getByTestId('progression').fill(CHORDS);
  await page.getByTestId('steer').locator('summary').click();
  await page.getByTestId('steer-density').selectOption({ index: 4 });
  await page.getByTestId('steer-moves').fill('0');
  await page.getByTestId('steer-moves').blur();
  await page.getByTestId('steer-hardest').selectOption('easy');
  await page.getByTestId('propose').click();
  await page.getByTestId('nothing-found').waitFor({ timeout: 60_000 });
  const told = await page.getByTestId('nothing-found').innerText();
  expect(told).toMatch(
    /The density refused \d+ drafts; without it there (are \d+ proposals|is 1 proposal)\./,
  );
  expect(await violations(page)).toEqual([]);
  expect(await overflow(page)).toBeLessThanOrEqual(0);
  await page.screenshot({ path: `${SHOTS}nothing-found-${shot}.png` });
  await page.getByTestId('lift-density').click();
  await page.getByTestId('proposal-card').first().waitFor({ timeout: 60_000 });
  expect(await page.getByTestId('steer').locator('summary').innerText()).toContain(
    'at most easy · at most 0',
  );
  const cards = await page.getByTestId('proposal-card').allInnerTexts();
  expect(cards.filter((text) => !/no pedal moves\s+easy/.test(text))).toEqual([]);
}

async function bars(page: Page, shot: string): Promise<void> {
  await page.getByTestId('progression').fill(CHORDS);
  await propose(page);
  await page.getByLabel('Last bar kept').selectOption('3');
  await page.getByTestId('keep-bars').click();
  await settled(page);
  await page.getByTestId('progression').fill('C | G7');
  await propose(page);
  await settled(page);
  const released = page.getByTestId('bars-released');
  expect(await released.innerText()).toContain(
    'Bar 2 is not kept: its chords have changed. Bar 3 is not kept: it is past the end.',
  );
  await page.screenshot({ path: `${SHOTS}bars-released-${shot}.png` });
  await page.getByTestId('release-bars').click();
  await settled(page);
  await released.waitFor({ state: 'detached' });
  expect(await page.getByTestId('steer').textContent()).toMatch(/Kept: bar 1\s+let go/);
}

async function melody(page: Page, shot: string): Promise<void> {
  await page.getByTestId('progression').fill('C | G7');
  await page.getByTestId('melody-drawer').locator('summary').click();
  await page.getByTestId('melody').fill('E5:2 G5:1 eggs');
  expect(await page.getByTestId('melody-problem').innerText()).toContain('“eggs”');
  expect(await page.getByTestId('propose').isDisabled()).toBe(true);
  await page.getByTestId('melody').fill('E5:2 G5:1 F5:1 | D5:3 r:1');
  await propose(page);
  const heads = await page.getByTestId('proposal-card').allInnerTexts();
  expect(heads.filter((text) => !text.includes('Your melody, accompanied'))).toEqual([]);
  const notes = await page
    .locator('[data-testid=score] g.note')
    .evaluateAll((all) => all.map((n) => n.getAttribute('aria-label')?.split('.').slice(0, 2).join()));
  for (const note of ['E5, Bar 1, beat 1', 'G5, Bar 1, beat 3', 'F5, Bar 1, beat 4', 'D5, Bar 2, beat 1'])
    expect(notes).toContain(note);
  expect(await violations(page)).toEqual([]);
  expect(await overflow(page)).toBeLessThanOrEqual(0);
  await page.screenshot({ path: `${SHOTS}melody-${shot}.png`, fullPage: true });
  // Another, from a file: the top line of its part.
  const [rolled] = proposed({
    ...requestOf({ ...DEFAULT_WORK.input, text: 'Am | Dm', families: ['rolled-chords'] }),
    count: 1,
  }).proposals;
  if (rolled === undefined) throw new Error('no part to bring');
  await page.getByTestId('melody-file').setInputFiles({
    name: 'tune.musicxml',
    mimeType: 'application/xml',
    buffer: Buffer.from(writeMusicXml(rolled.planned)),
  });
  await page.waitForFunction(
    () => !(document.querySelector('[data-testid=melody]') as HTMLTextAreaElement).value.startsWith('E5:2'),
  );
  expect(await page.getByTestId('melody').inputValue()).toMatch(/^[A-G][b#]?\d:\S+ /);
  // A file that is no music leaves the melody as it is.
  const before = await page.getByTestId('melody').inputValue();
  await page.getByTestId('melody-file').setInputFiles({
    name: 'list.txt',
    mimeType: 'text/plain',
    buffer: Buffer.from('eggs'),
  });
  await page.getByTestId('melody-fault').waitFor();
  expect(await page.getByTestId('melody').inputValue()).toBe(before);
}

const SIZES = [
  ['desktop', DESKTOP],
  ['phone', PHONE],
] as const;
describe.each(SIZES)('asked of single things, %s', (name, size) => {
  it('a note keeps the spelling that it is given, and this figure stays in sight', async () => {
    const { page, context, complaints } = await visit(size);
    await spellings(page, name);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('a pedal slides under a note that rings, where the composer writes it', async () => {
    const { page, context, complaints } = await visit(size);
    await slides(page, name);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('an empty list names the limit that refuses, and lifts it', async () => {
    const { page, context, complaints } = await visit(size);
    await limits(page, name);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('kept bars that cannot be kept are told and let go', async () => {
    const { page, context, complaints } = await visit(size);
    await bars(page, name);
    expect(complaints).toEqual([]);
    await context.close();
  });

  it('a melody, typed or from a file, is accompanied', async () => {
    const { page, context, complaints } = await visit(size);
    await melody(page, name);
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('by keyboard alone', () => {
  it('a note is looked at, spelt otherwise, and let go again', async () => {
    const { page, context } = await visit(DESKTOP);
    await page.getByTestId('progression').fill(CHORDS);
    await propose(page);
    const stop = page.locator('[data-testid=score] g.note[tabindex="0"]');
    await stop.focus();
    // On from note to note until one can be spelt otherwise.
    for (let i = 0; i < 40 && (await page.getByTestId('spell-other').count()) === 0; i++)
      await page.keyboard.press('ArrowRight');
    const name = await page.locator('[data-testid=note-panel] .name').innerText();
    await page.keyboard.press('Tab');
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe(`keep ${name}`);
    await page.keyboard.press('Tab');
    await page.keyboard.press('Enter');
    await settled(page);
    await page.waitForFunction(
      (before) => document.querySelector('[data-testid=note-panel] .name')?.textContent !== before,
      name,
      { timeout: 30_000 },
    );
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe('let the pedals decide');
    await page.keyboard.press('Enter');
    await settled(page);
    expect(await page.getByTestId('spelling-free').count()).toBe(0);
    await context.close();
  });
});

describe('a proposal', () => {
  it('says how hard it is, by measure and in a word, and goes out compressed', async () => {
    const { page, context } = await visit(DESKTOP);
    await propose(page);
    const figures = await page.getByTestId('difficulty-figures').innerText();
    expect(figures.replaceAll(/\s+/g, ' ')).toMatch(
      /(easy|medium|hard) stretch .+ leap \d+ strings? speed \d+ a second placing .+ feet \d+ in 4 s/,
    );
    const [file] = await Promise.all([
      page.waitForEvent('download'),
      page.getByTestId('download-mxl').click(),
    ]);
    expect(file.suggestedFilename()).toMatch(/\.mxl$/);
    const read = readPart('part.mxl', readFileSync(await file.path()));
    expect(read.ok && read.value.passage.plucks.length).toBeGreaterThan(4);
    await context.close();
  });
});
