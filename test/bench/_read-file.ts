// Reads a file in a process of its own and prints what it cost.
import { readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { readPart } from '../../src/interchange/read-part';

const path = process.argv.at(-1) as string;
const bytes = readFileSync(path);
// A small file first, so that the program itself is there when the file comes.
readPart('a.musicxml', new TextEncoder().encode('<score-partwise/>'));
const stood = process.memoryUsage().rss;
const before = process.cpuUsage();
const read = readPart(basename(path), bytes);
const { user, system } = process.cpuUsage(before);
console.log(
  JSON.stringify({
    outcome: read.ok ? 'read' : read.problems.map(({ code }) => code).join(),
    cpu: (user + system) / 1000,
    stood: stood / 1024 / 1024,
    peak: process.resourceUsage().maxRSS / 1024,
  }),
);
