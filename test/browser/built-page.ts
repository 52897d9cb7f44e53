// The built page, served as a visitor gets it, and a headless Chromium to open it with.
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { type Browser, chromium } from 'playwright-core';
import { preview } from 'vite';
import { findChromium } from '../../.ci/find-chromium.mjs';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));

/** What keeps a headless Chromium quiet and able to run as root. */
export const CHROMIUM_FLAGS: readonly string[] = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

export interface BuiltPage {
  readonly url: string;
  readonly browser: Browser;
  close(): Promise<void>;
}

/** Serves dist/page on a free port and starts Chromium. Throws where either is missing, saying what to do. */
export async function openBuiltPage(port: number): Promise<BuiltPage> {
  if (!existsSync(`${ROOT}dist/page/index.html`))
    throw new Error('The page is not built: npm run build first.');
  const executablePath = findChromium();
  if (executablePath === null) throw new Error('No Chrome or Chromium: install one, or set CHROMIUM_PATH.');
  const server = await preview({
    configFile: false,
    root: ROOT,
    build: { outDir: 'dist/page' },
    preview: { port, strictPort: false },
    logLevel: 'error',
  });
  const browser = await chromium.launch({ executablePath, args: [...CHROMIUM_FLAGS] });
  return {
    url: server.resolvedUrls?.local[0] ?? '',
    browser,
    close: async () => {
      await browser.close();
      await server.close();
    },
  };
}
