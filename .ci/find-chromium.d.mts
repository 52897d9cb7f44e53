/** The program file of an installed Chrome or Chromium (CHROMIUM_PATH decides where it is set), or null. */
export function findChromium(): string | null;
