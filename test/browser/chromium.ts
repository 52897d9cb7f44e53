// Any installed Chrome or Chromium, and the flags that keep it quiet.
import { existsSync } from 'node:fs';

const PLACES: Readonly<Record<string, readonly string[]>> = {
  linux: [
    '/usr/bin/chromium',
    '/usr/bin/chromium-browser',
    '/usr/bin/google-chrome',
    '/usr/bin/google-chrome-stable',
    '/snap/bin/chromium',
    '/usr/bin/microsoft-edge',
  ],
  darwin: [
    '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
    '/Applications/Chromium.app/Contents/MacOS/Chromium',
    '/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge',
  ],
  win32: [process.env['PROGRAMFILES'], process.env['PROGRAMFILES(X86)'], process.env['LOCALAPPDATA']].flatMap(
    (root) =>
      root === undefined
        ? []
        : [
            `${root}\\Google\\Chrome\\Application\\chrome.exe`,
            `${root}\\Microsoft\\Edge\\Application\\msedge.exe`,
          ],
  ),
};

/** Path of a browser: CHROMIUM_PATH first, then the usual places. Throws a sentence that says what to do. */
export function findChromium(): string {
  const candidates = [process.env['CHROMIUM_PATH'], ...(PLACES[process.platform] ?? [])];
  const found = candidates.find((path) => path !== undefined && existsSync(path));
  if (found === undefined) {
    throw new Error('No Chrome or Chromium was found: install one, or name it in CHROMIUM_PATH.');
  }
  return found;
}

export const CHROMIUM_FLAGS: readonly string[] = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];
