#!/usr/bin/env node
/** Entry of the terminal program. */

import { run } from './async-main';
import { endQuietly } from './output';

endQuietly(process.stdout);

process.exitCode = await run(process.argv.slice(2), {
  out: (text) => process.stdout.write(text),
  err: (text) => process.stderr.write(text),
});
