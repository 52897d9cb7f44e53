// What the engraver says of our files: the remarks that we know, each a mark that it leaves out and no note.
import { vi } from 'vitest';

/** Verovio 6.3. Our page and paper draw each of these themselves. */
export const KNOWN_GAPS: readonly RegExp[] = [
  // Pedal diagrams, damping signs.
  /Unsupported direction-type '(harp-pedals|damp|damp-all)'/,
  // Ties into the air in the last bar.
  /lv '\w+' is ignored, since start '[\w.-]+' does not occur temporally before end/,
];

/** Hears what is said on the console from now on; `said` gives it line by line, `stop` lets it be seen again. */
export function heard(): { said(): string[]; stop(): void } {
  const lines: string[] = [];
  const spies = (['warn', 'error', 'info', 'log'] as const).map((level) =>
    vi.spyOn(console, level).mockImplementation((...words) => void lines.push(words.join(' '))),
  );
  return {
    said: () =>
      lines
        .join('\n')
        .split('\n')
        .filter((words) => words.trim() !== ''),
    stop: () => spies.forEach((spy) => spy.mockRestore()),
  };
}

export const unknownRemarks = (said: readonly string[]): string[] =>
  said.filter((words) => !KNOWN_GAPS.some((gap) => gap.test(words)));
