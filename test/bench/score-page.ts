// A score of 100 bars in the built page, in a headless Chromium: until its first system and its last are seen, and the
// longest stretch for which the page's own thread was busy; then the same for another size, one system changed,
// one long line, and one bar of it changed.
import type { Page } from 'playwright-core';
import { openBuiltPage } from '../browser/built-page';
import type { Measure } from './main';

const FOUR = ['Ebmaj7', 'Cm9', 'Fm7 Bb7b9', 'Eb6/9'];
const text = Array.from({ length: 100 }, (_, i) => FOUR[i % 4]).join(' | ');

interface TraceEvent {
  readonly name: string;
  readonly ph: string;
  readonly pid: number;
  readonly tid: number;
  /** Microseconds of the clock, and of the processor. */
  readonly dur?: number;
  readonly tdur?: number;
  readonly args?: { readonly name?: string };
}

/** Starts to trace the page's own thread; what comes back tells its longest task, by the clock and by the processor. */
async function watched(page: Page): Promise<() => Promise<{ wall: number; cpu: number }>> {
  const client = await page.context().newCDPSession(page);
  const events: TraceEvent[] = [];
  client.on('Tracing.dataCollected', ({ value }) => events.push(...(value as unknown as TraceEvent[])));
  await client.send('Tracing.start', {
    traceConfig: { includedCategories: ['devtools.timeline', 'disabled-by-default-devtools.timeline'] },
    transferMode: 'ReportEvents',
  });
  return async () => {
    const complete = new Promise<void>((resolve) => client.once('Tracing.tracingComplete', () => resolve()));
    await client.send('Tracing.end');
    await complete;
    await client.detach();
    const pages = new Set(
      events
        .filter(
          ({ ph, name, args }) => ph === 'M' && name === 'thread_name' && args?.name === 'CrRendererMain',
        )
        .map(({ pid, tid }) => `${pid} ${tid}`),
    );
    const tasks = events.filter(({ name, pid, tid }) => name === 'RunTask' && pages.has(`${pid} ${tid}`));
    if (tasks.length === 0) throw new Error('The trace holds no task of the page.');
    const longest = (time: 'dur' | 'tdur'): number =>
      Math.max(...tasks.map((task) => task[time] ?? 0)) / 1000;
    return { wall: longest('dur'), cpu: longest('tdur') };
  };
}

/** Until no system has come or gone for a second: milliseconds to the first change and to the last. */
const settled = (page: Page): Promise<{ first: number; last: number; drawn: number }> =>
  page.evaluate(
    () =>
      new Promise((resolve) => {
        const began = performance.now();
        const score = document.querySelector('[data-testid=score]') as HTMLElement;
        let [first, last, drawn] = [0, 0, 0];
        const seen = new MutationObserver((changes) => {
          // Systems, or bars of a long line; not what is drawn about notes.
          const added = changes
            .flatMap((change) => [...change.addedNodes])
            .filter((node) => (node as Element).matches?.('svg[data-key], g.measure'));
          if (added.length === 0) return;
          drawn += added.length;
          last = performance.now() - began;
          if (first === 0 && added.length > 0) first = last;
        });
        seen.observe(score, { childList: true, subtree: true });
        const wait = setInterval(() => {
          if (last === 0 || performance.now() - began - last < 1000) return;
          clearInterval(wait);
          seen.disconnect();
          resolve({ first, last, drawn });
        }, 100);
      }),
  );

export async function bench(): Promise<Measure[]> {
  let built;
  try {
    built = await openBuiltPage(4771);
  } catch (error) {
    console.log(`  skipped: ${(error as Error).message}`);
    return [];
  }
  try {
    const page = await (await built.browser.newContext({ viewport: { width: 1280, height: 900 } })).newPage();
    await page.goto(built.url);
    await page.getByTestId('progression').fill(text);
    await page.getByTestId('propose').click();
    await page.locator('[data-testid=score] svg').first().waitFor({ timeout: 120_000 });
    await page.waitForTimeout(3000);
    const out: Measure[] = [];
    const measure = async (name: string, act: () => Promise<void>): Promise<void> => {
      const read = await watched(page);
      const wait = settled(page);
      await act();
      const { first, last, drawn } = await wait;
      const { wall, cpu } = await read();
      out.push(
        { name: `${name}: first system`, value: first, unit: 'ms' },
        { name: `${name}: last of ${drawn} pieces drawn`, value: last, unit: 'ms' },
        { name: `${name}: longest task of the page`, value: cpu, unit: 'ms of processor' },
        { name: `${name}: the same by the clock, on this busy a machine`, value: wall, unit: 'ms' },
      );
    };
    const cards = page.getByTestId('proposal-card');
    await measure('another proposal, 100 bars', () => cards.nth(1).click());
    await measure('another width', () => page.setViewportSize({ width: 1100, height: 900 }));
    // One spelling fixed: what stands elsewhere is not drawn again.
    const notes = page.locator('[data-testid=score] g.note[role=button]');
    for (let i = 40; i < 400; i += 7) {
      await notes.nth(i).click({ force: true });
      if (await page.getByTestId('spell-other').first().isVisible()) break;
    }
    const other = page.getByTestId('spell-other').first();
    const canChange = await other.isVisible();
    if (canChange) await measure('one note spelt otherwise', () => other.click());
    await page.getByTestId('score-drawer').locator('summary').click();
    await measure('as one long line', () => page.getByTestId('score-line').check());
    if (canChange) await measure('one note spelt otherwise in the line', () => other.click());
    return out;
  } finally {
    await built.close();
  }
}
