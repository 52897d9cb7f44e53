/** The terminal program: picks the call, prints its answer, turns bad input into one sentence and exit code 2. */

import { UsageError } from './args';
import { checkCall } from './check';
import { glissCall } from './gliss';
import { mendCall } from './mend';
import { type Answer, type Terminal, print } from './output';
import { PAGE_DOES, PAGE_USAGE } from './page-usage';
import { PART_USAGE } from './part-options';
import { pedalsCall } from './pedals';
import { PLAN_USAGE } from './pedals-options';
import { proposeCall } from './propose';
import { reduceCall } from './reduce';
import { renderCall } from './render';
import { twoHarpsCall } from './two-harps';

interface Call {
  readonly run: (args: readonly string[]) => Answer;
  readonly usage: string;
  readonly does: string;
}

const CALLS: Readonly<Record<string, Call>> = {
  propose: {
    run: proposeCall,
    usage: `propose "Cmaj7 | A7b9 | Dm9 / G13 /" [--seed 7] [--count 24] [--tempo 96] [--metre 4/4] [--families a,b] [--figure FILE] [--melody "C5:2 D5:1"|FILE] [--key Eb] [--aim practical|fewest] [--title TEXT] [--composer TEXT] [--harp 47|46|44|40] [--without a,b] [--density 1-4] [--register C3-C6] [--dynamic p] [--hardest medium] [--most-moves 6] [--choices 12] [--keep ID:1-4] [--like ID] [--unlike ID] [--again ID] ${PLAN_USAGE} [--out DIR]`,
    does: 'figures for a chord progression, ranked, each playable, with its pedal plan',
  },
  check: {
    run: checkCall,
    usage: `check FILE ${PART_USAGE} [--report] [--harp 47|46|44|40|lever34]`,
    does: 'a harp part against every rule',
  },
  mend: {
    run: mendCall,
    usage: `mend FILE --out FILE ${PART_USAGE} [--pedals]`,
    does: 'the same part made playable with the least change; --pedals writes the pedal plan into it',
  },
  pedals: {
    run: pedalsCall,
    usage: `pedals FILE ${PART_USAGE} [--aim practical|fewest] [--harp 47|46|44|40|lever34] ${PLAN_USAGE} [--out FILE]`,
    does: 'the cheapest pedal plan for a part; --out writes it into the part',
  },
  'two-harps': {
    run: twoHarpsCall,
    usage: `two-harps FILE ${PART_USAGE} [--aim practical|fewest] [--harp 47|46|44|40] [--out DIR]`,
    does: 'a part divided between two harps, each with its own pedal plan',
  },
  reduce: {
    run: reduceCall,
    usage: `reduce FILE --out FILE.musicxml ${PART_USAGE} [--difficulty faithful|idiomatic|easy] [--refuse ID,ID]`,
    does: 'a piano part as a harp part, every change named',
  },
  render: {
    run: renderCall,
    usage: `render FILE --out FILE.wav ${PART_USAGE} [--dry]`,
    does: 'a part as sound, 48 kHz, 16 bit',
  },
  gliss: {
    run: glissCall,
    usage:
      'gliss "E7" [--start SETTING] [--allow "D A"] [--from C4 --to G5] [--fingers 1|2|3] [--shape thirds] [--prefer purity|coverage] [--no-crossing]',
    does: 'pedal settings that sound only that chord or scale, best first',
  },
};

/** A call and its options in lines that a terminal shows whole; options go on under the call. */
export function wrapped(usage: string, indent: number): string {
  const [first = '', ...words] = usage.split(/ (?=\[)/);
  const lines = [`harpwright ${first}`];
  const room = 96 - indent;
  for (const word of words) {
    const last = lines.at(-1) as string;
    if (last.length + 1 + word.length <= room) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(`    ${word}`);
  }
  return lines.map((line) => ' '.repeat(indent) + line).join('\n');
}

const help = (): string =>
  [
    'Harpwright: for people who write for the harp and do not play it.',
    '',
    ...Object.values(CALLS).flatMap((call) => [wrapped(call.usage, 2), `      ${call.does}`, '']),
    wrapped(PAGE_USAGE, 2),
    `      ${PAGE_DOES}`,
    '',
    'With --json, one JSON document on stdout. Exit 0: done; 1: done, and problems found; 2: bad input.',
    "A harpist's word on a part outranks this program's.",
    '',
  ].join('\n');

/** Runs one call; returns the exit code. */
export function main(args: readonly string[], terminal: Terminal): number {
  const [name, ...rest] = args;
  if (name === undefined) {
    terminal.err(
      'Say what is to be done, such as harpwright propose "Cmaj7 | A7b9"; harpwright --help lists all.\n',
    );
    return 2;
  }
  if (name === 'help' || name === '--help' || name === '-h') {
    terminal.out(help());
    return 0;
  }
  const call = Object.hasOwn(CALLS, name) ? CALLS[name] : undefined;
  if (call === undefined) {
    terminal.err(
      `“${name}” is not a call; there are ${[...Object.keys(CALLS), 'page'].join(', ')} (see --help).\n`,
    );
    return 2;
  }
  if (rest.includes('--help') || rest.includes('-h')) {
    terminal.out(`${wrapped(call.usage, 0)}\n${call.does}\n`);
    return 0;
  }
  try {
    const asJson = rest.includes('--json');
    return print(call.run(rest.filter((arg) => arg !== '--json')), asJson, terminal);
  } catch (error) {
    if (error instanceof UsageError) {
      terminal.err(`${error.message}\n`);
      return 2;
    }
    throw error;
  }
}
