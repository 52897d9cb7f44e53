/** Pedal words of a system set clear of notes and signs, of each other, and, in two lines, straight. */

import type { Element } from 'xast';
import { type Box, headBoxes, isPedalWord, signBoxes, stemBoxes } from './clearance';
import { isLineOfPedals } from './engraving-copy';
import { elementsOf, mapElements, textIn } from './xml-tree';

/** Pedal words stand so much lower than the engraver sets them, at least and at most. */
const LOWER = { least: 60, most: 1200 };
/** Room between what is over a word and the word; width, height and distance of pedals' names. */
const GAP = 80;
const NAME = { width: 460, rise: 250, line: 400, apart: 60 };
/** Notes so near on either side are above a word, not beside it. */
const BESIDE = 240;

interface Word {
  readonly x: number;
  /** First baseline as the engraver set it. */
  readonly y: number;
  /** Which of two lines hold a name; one that is in no line holds its names in the first. */
  readonly rows: readonly [boolean, boolean];
  readonly inLines: boolean;
  drop: number;
  shift: number;
}

const isWord = (e: Element): boolean =>
  e.name === 'g' &&
  String(e.attributes['class'] ?? '')
    .split(' ')
    .includes('dir') &&
  isPedalWord(e);

function wordOf(e: Element): Word {
  const text = elementsOf(e).find((child) => child.name === 'text');
  const inLines = isLineOfPedals(textIn(e));
  const given = textIn(e).replaceAll(/[ \n\t]+/g, '');
  const names = given.match(/[A-G][♭♮♯]/gu)?.length ?? 1;
  const rows: [boolean, boolean] = !inLines
    ? [true, false]
    : names > 1
      ? [true, true]
      : [!given.startsWith('\u00a0'), given.startsWith('\u00a0')];
  const [x, y] = [Number(text?.attributes['x'] ?? 0), Number(text?.attributes['y'] ?? 0)];
  return { x, y, rows, inLines, drop: LOWER.least, shift: 0 };
}

/** How far down a word goes to stand under the notes about it, and clear of signs. */
function dropOf({ x, y, rows }: Word, notes: readonly Box[], signs: readonly Box[]): number {
  const first = rows[0] ? y : y + NAME.line;
  let drop = LOWER.least;
  for (let again = 0; again < 6; again++) {
    const [top, bottom] = [first + drop - NAME.rise - GAP, first + drop + GAP];
    const within = (boxes: readonly Box[], room: number): Box[] =>
      boxes.filter(
        (b) => b.left < x + NAME.width + room && b.right > x - room && b.top < bottom && b.bottom > top,
      );
    const touched = [...within(notes, BESIDE), ...within(signs, 40)];
    if (touched.length === 0) break;
    drop = Math.max(...touched.map((b) => b.bottom)) + GAP + NAME.rise + 1 - first;
  }
  return Math.round(Math.min(LOWER.most, drop));
}

/** Words that would run into each other move apart, each as little as may be (pool of adjacent violators). */
function spread(words: readonly Word[]): void {
  const each = NAME.width + NAME.apart;
  const pools: { sum: number; words: Word[] }[] = [];
  [...words]
    .sort((a, b) => a.x - b.x)
    .forEach((word, i) => {
      pools.push({ sum: word.x - i * each, words: [word] });
      for (;;) {
        const [last, before] = [pools.at(-1), pools.at(-2)];
        if (last === undefined || before === undefined) break;
        if (before.sum / before.words.length <= last.sum / last.words.length) break;
        pools.splice(-2, 2, { sum: before.sum + last.sum, words: [...before.words, ...last.words] });
      }
    });
  let i = 0;
  for (const { sum, words: pool } of pools) {
    for (const word of pool) {
      word.shift = Math.round(sum / pool.length + i * each - word.x);
      i++;
    }
  }
}

/** Words that stand side by side: those of one line, or whose names are at one height. */
function rowsOf(words: readonly Word[]): Word[][] {
  const lines = words.filter((word) => word.inLines);
  const loose = words.filter((word) => !word.inLines).sort((a, b) => a.x - b.x);
  const rows: Word[][] = [];
  for (const word of loose) {
    const height = word.y + word.drop;
    const row = rows.find((r) => {
      const last = r.at(-1) as Word;
      return Math.abs(last.y + last.drop - height) < NAME.rise + 30;
    });
    if (row === undefined) rows.push([word]);
    else row.push(word);
  }
  return [...rows, lines.filter((word) => word.rows[0]), lines.filter((word) => !word.rows[0])];
}

/** A system with its pedal words marked for the style sheet and in their places. */
export function withPedalWords(system: Element): Element {
  const words: Word[] = [];
  mapElements(system, (e) => {
    if (isWord(e)) words.push(wordOf(e));
    return e;
  });
  if (words.length === 0) return system;
  const notes = [...headBoxes(system), ...stemBoxes(system)];
  const signs = signBoxes(system);
  for (const word of words) word.drop = dropOf(word, notes, signs);
  for (const row of rowsOf(words)) spread(row);
  // What moved sideways may have come under something else.
  for (const word of words) word.drop = dropOf({ ...word, x: word.x + word.shift }, notes, signs);
  // Two lines are straight: all as low as the lowest must be.
  const lines = words.filter((word) => word.inLines);
  const lowest = Math.max(...lines.map((word) => word.y + word.drop));
  for (const word of lines) word.drop = lowest - word.y;
  let next = 0;
  const placed = mapElements(system, (e) => {
    if (!isWord(e)) return e;
    const { drop, shift, inLines } = words[next++] as Word;
    const classes = `${String(e.attributes['class'])} pedal-move${inLines ? ' pedal-line' : ''}`;
    return {
      ...e,
      attributes: { ...e.attributes, class: classes, transform: `translate(${shift}, ${drop})` },
    };
  });
  return placed ?? system;
}

const MOVED = /^translate\((-?[\d.]+), (-?[\d.]+)\)$/;

/** The lowest place that pedal words reach, after they have been set; 0 where there are none. */
export function lowestWord(root: Element): number {
  let lowest = 0;
  mapElements(root, (e) => {
    const moved = isWord(e) ? MOVED.exec(String(e.attributes['transform'] ?? '')) : null;
    if (moved === null) return e;
    const { y, rows } = wordOf(e);
    lowest = Math.max(lowest, y + Number(moved[2]) + (rows[1] ? NAME.line : 0) + GAP);
    return e;
  });
  return lowest;
}
