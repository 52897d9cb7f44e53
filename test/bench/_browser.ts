/** A headless Chromium with one of our modules in it, bundled and served from memory. */

import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { fileURLToPath } from 'node:url';
import { type Page, chromium } from 'playwright-core';
import { build } from 'vite';
import { findChromium } from '../../.ci/find-chromium.mjs';
import { CHROMIUM_FLAGS } from '../browser/built-page';

const TYPES: Readonly<Record<string, string>> = { js: 'text/javascript', html: 'text/html' };
const ARGS = [...CHROMIUM_FLAGS, '--autoplay-policy=no-user-gesture-required'];

/** Runs work on a page whose module is `entry` (a file beside this one); null where no Chromium is found. */
export async function inChromium<T>(entry: string, work: (page: Page) => Promise<T>): Promise<T | null> {
  const executablePath = findChromium();
  if (executablePath === null) return null;
  const files = await bundle(entry);
  const server = createServer((request, response) => {
    const name = (request.url ?? '/').slice(1);
    const body =
      name === '' ? '<!doctype html><script type="module" src="/entry.js"></script>' : files.get(name);
    response.writeHead(body === undefined ? 404 : 200, {
      'content-type':
        TYPES[name === '' ? 'html' : (name.split('.').at(-1) ?? '')] ?? 'application/octet-stream',
    });
    response.end(body);
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const browser = await chromium.launch({ executablePath, args: ARGS });
  try {
    const page = await browser.newPage();
    await page.goto(`http://127.0.0.1:${(server.address() as AddressInfo).port}/`);
    return await work(page);
  } finally {
    await browser.close();
    server.close();
  }
}

async function bundle(entry: string): Promise<Map<string, string | Uint8Array>> {
  const made = await build({
    configFile: false,
    root: fileURLToPath(new URL('.', import.meta.url)),
    logLevel: 'error',
    worker: { format: 'es' },
    build: {
      write: false,
      target: 'es2022',
      chunkSizeWarningLimit: 9000,
      rollupOptions: {
        input: fileURLToPath(new URL(entry, import.meta.url)),
        output: { entryFileNames: 'entry.js' },
      },
    },
  });
  const files = new Map<string, string | Uint8Array>();
  for (const result of Array.isArray(made) ? made : [made]) {
    if (!('output' in result)) continue;
    for (const file of result.output)
      files.set(file.fileName, file.type === 'chunk' ? file.code : file.source);
  }
  return files;
}
