// A visit to the built page: a context of its own, what the page complains of, and the steps that many tests take.
import { mkdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { fileURLToPath } from 'node:url';
import type { BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll } from 'vitest';
import { type BuiltPage, openBuiltPage } from './built-page';

export const SHOTS = fileURLToPath(new URL('./shots/', import.meta.url));
const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
/** The chords that the page opens with. */
export const TEXT = 'Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9';
export const DESKTOP = { width: 1280, height: 900 };
export const PHONE = { width: 390, height: 844 };

export interface Visit {
  readonly page: Page;
  readonly context: BrowserContext;
  /** Errors of the page and refusals by its content policy. */
  readonly complaints: string[];
}
export type Size = typeof DESKTOP;

/** Serves the page while the tests of a file run; gives the way to visit it. */
export function servedPage(port: number): (size: Size) => Promise<Visit> {
  let built: BuiltPage;
  beforeAll(async () => {
    mkdirSync(SHOTS, { recursive: true });
    built = await openBuiltPage(port);
  });
  afterAll(() => built?.close());
  return async (size) => {
    const context = await built.browser.newContext({ viewport: size, acceptDownloads: true });
    const page = await context.newPage();
    const complaints: string[] = [];
    page.on('pageerror', (error) => complaints.push(error.message));
    page.on('console', (message) => {
      if (message.type() === 'error') complaints.push(message.text());
    });
    await page.goto(built.url);
    await page.getByTestId('progression').waitFor();
    return { page, context, complaints };
  };
}

export async function propose(page: Page): Promise<void> {
  await page.getByTestId('propose').click();
  await page.getByTestId('proposal-card').first().waitFor({ timeout: 60_000 });
  await page.locator('[data-testid=score] g.note').first().waitFor({ timeout: 60_000 });
}

export const transport = (page: Page, name: string): Promise<string | null> =>
  page.getByTestId('transport').getAttribute(`data-${name}`);
export const listed = (page: Page): Promise<string[]> => page.getByTestId('proposal-card').allInnerTexts();

/** Serious and critical violations, in words. */
export async function violations(page: Page): Promise<string[]> {
  await page.evaluate(AXE);
  return page.evaluate(async () => {
    interface Axe {
      run(): Promise<{ violations: { id: string; impact: string | null; nodes: { html: string }[] }[] }>;
    }
    const { axe } = window as unknown as { axe: Axe };
    const result = await axe.run();
    return result.violations
      .filter((v) => v.impact === 'serious' || v.impact === 'critical')
      .map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 160)).join(' / ')}`);
  });
}
export const overflow = (page: Page): Promise<number> =>
  page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
