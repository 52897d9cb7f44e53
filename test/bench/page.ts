// The built page in a headless Chromium: bytes and time until it can be used, and until a score is seen.
import { openBuiltPage } from '../browser/built-page';
import type { Measure } from './main';

export async function bench(): Promise<Measure[]> {
  let built;
  try {
    built = await openBuiltPage(4770);
  } catch (error) {
    console.log(`  skipped: ${(error as Error).message}`);
    return [];
  }
  try {
    const context = await built.browser.newContext();
    const page = await context.newPage();
    const session = await context.newCDPSession(page);
    await session.send('Network.enable');
    let bytes = 0;
    session.on('Network.loadingFinished', (event) => (bytes += event.encodedDataLength));
    const start = performance.now();
    await page.goto(built.url);
    await page.getByTestId('propose').waitFor();
    const usable = performance.now() - start;
    await page.waitForLoadState('networkidle');
    const opened = bytes;
    const asked = performance.now();
    await page.getByTestId('propose').click();
    await page.getByTestId('proposal-card').first().waitFor();
    const listed = performance.now() - asked;
    await page.locator('[data-testid=score] svg').first().waitFor();
    const seen = performance.now() - asked;
    return [
      {
        name: 'transferred until the page rests, as served (not compressed)',
        value: opened / 1024,
        unit: 'KiB',
      },
      { name: 'page usable', value: usable, unit: 'ms' },
      { name: 'Propose to the list, first time', value: listed, unit: 'ms' },
      { name: 'Propose to the engraved score, engraver loading', value: seen, unit: 'ms' },
    ];
  } finally {
    await built.close();
  }
}
