#!/usr/bin/env node
/** Entry of the terminal program. */

import { main } from './main';

process.exitCode = main(process.argv.slice(2), {
  out: (text) => process.stdout.write(text),
  err: (text) => process.stderr.write(text),
});
