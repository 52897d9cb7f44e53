// Finds an installed Chrome or Chromium; CHROMIUM_PATH, where set, decides.
import { existsSync } from 'node:fs';
import { delimiter, join } from 'node:path';

const NAMES = [
  'chromium',
  'chromium-browser',
  'google-chrome',
  'google-chrome-stable',
  'chrome',
  'microsoft-edge',
  'msedge',
];
const PLACES = [
  '/snap/bin/chromium',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  '/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge',
  ...['PROGRAMFILES', 'PROGRAMFILES(X86)', 'LOCALAPPDATA']
    .map((name) => process.env[name])
    .filter((folder) => folder !== undefined)
    .flatMap((folder) => [
      join(folder, 'Google', 'Chrome', 'Application', 'chrome.exe'),
      join(folder, 'Microsoft', 'Edge', 'Application', 'msedge.exe'),
    ]),
];

/** The program file of a Chromium, or null. */
export function findChromium() {
  const given = process.env.CHROMIUM_PATH;
  if (given !== undefined && given !== '') return existsSync(given) ? given : null;
  const onPath = (process.env.PATH ?? '')
    .split(delimiter)
    .flatMap((folder) =>
      NAMES.map((name) => join(folder, process.platform === 'win32' ? `${name}.exe` : name)),
    );
  return [...onPath, ...PLACES].find((file) => existsSync(file)) ?? null;
}
