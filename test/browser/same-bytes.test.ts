// Same input and seed, same bytes: what the page hands over is what the terminal's core writes.
import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { writeMidi } from '../../src/interchange/midi-write';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { propose } from '../../src/proposals/propose';
import { type BuiltPage, openBuiltPage } from './built-page';

let built: BuiltPage;
beforeAll(async () => {
  built = await openBuiltPage(4760);
});
afterAll(() => built?.close());

describe('page and terminal', () => {
  it('write the same MusicXML and MIDI for the same chords and seed', async () => {
    const context = await built.browser.newContext({ acceptDownloads: true });
    const page = await context.newPage();
    await page.goto(built.url);
    await page.getByTestId('progression').fill('Gm7 | C13 | Fmaj9 | Bb7#11');
    await page.getByTestId('seed').fill('42');
    await page.getByTestId('tempo').fill('72');
    await page.getByTestId('propose').click();
    await page.getByTestId('proposal-card').first().waitFor();
    await page.waitForFunction(() => document.querySelectorAll('[data-testid=proposal-card]').length >= 12);
    const title = await page.getByLabel('Title').inputValue();
    const fetched = async (button: string): Promise<Buffer> => {
      const [download] = await Promise.all([page.waitForEvent('download'), page.getByTestId(button).click()]);
      return readFileSync(await download.path());
    };
    const xml = await fetched('download-musicxml');
    const midi = await fetched('download-midi');
    await context.close();

    const { proposals } = propose({
      text: 'Gm7 | C13 | Fmaj9 | Bb7#11',
      metre: { beats: 4, unit: 4 },
      milliBpm: 72_000,
      seed: '42',
      count: 24,
      families: [],
      start: null,
      aim: 'practical',
      key: null,
      title,
    });
    const first = proposals[0];
    expect(first).toBeDefined();
    if (first === undefined) return;
    expect(xml.toString('utf8')).toBe(writeMusicXml(first.planned));
    expect(Buffer.from(midi).equals(Buffer.from(writeMidi(first.planned)))).toBe(true);
  });
});
