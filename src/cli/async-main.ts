/** The calls that wait for a program to load; every other goes to the ones that answer at once. */

import { UsageError } from './args';
import { main, wrapped } from './main';
import { type Terminal, print } from './output';
import { pageCall } from './page';
import { PAGE_DOES, PAGE_USAGE } from './page-usage';

/** Runs one call; resolves to the exit code. */
export async function run(args: readonly string[], terminal: Terminal): Promise<number> {
  const [name, ...rest] = args;
  if (name !== 'page') return main(args, terminal);
  if (rest.includes('--help') || rest.includes('-h')) {
    terminal.out(`${wrapped(PAGE_USAGE, 0)}\n${PAGE_DOES}\n`);
    return 0;
  }
  try {
    const asJson = rest.includes('--json');
    return print(await pageCall(rest.filter((arg) => arg !== '--json')), asJson, terminal);
  } catch (error) {
    if (!(error instanceof UsageError)) throw error;
    terminal.err(`${error.message}\n`);
    return 2;
  }
}
