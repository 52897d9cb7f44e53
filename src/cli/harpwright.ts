#!/usr/bin/env node
/** Entry of the terminal program. */

import { run } from './async-main';

process.exitCode = await run(process.argv.slice(2), {
  out: (text) => process.stdout.write(text),
  err: (text) => process.stderr.write(text),
});
