/** The nearest right symbol to a wrong word, by edit distance over the grammar's own lists. */

import { SUFFIXES, USUAL_SUFFIXES, plainSigns } from './grammar';

const ROOTS = [
  'C',
  'F',
  'G',
  'D',
  'A',
  'E',
  'B',
  'Bb',
  'Eb',
  'Ab',
  'Db',
  'Gb',
  'F#',
  'C#',
  'G#',
  'D#',
] as const;
const NUMERALS = [
  'I',
  'IV',
  'V',
  'ii',
  'vi',
  'iii',
  'vii',
  'i',
  'iv',
  'v',
  'II',
  'III',
  'VI',
  'VII',
] as const;
/** Words are compared up to this length: no symbol of the grammar is longer. */
const LONGEST = 24;

/** Cost of reading one sign as another: a slip of the shift key is cheaper than another sign; H is B. */
function swapCost(a: string, b: string): number {
  if (a === b) return 0;
  if (a.toLowerCase() === b.toLowerCase()) return 1;
  return (a === 'H' || a === 'h') && b === 'B' ? 1 : 2;
}

/**
 * Edit distance with neighbours exchanged as one edit; insertion, deletion, exchange and other signs cost 2.
 * Where it is plain that the distance is not below `atMost`, Infinity is answered early.
 */
export function editDistance(from: string, to: string, atMost = Infinity): number {
  let older: number[] = [];
  let before = Array.from({ length: to.length + 1 }, (_, j) => 2 * j);
  for (let i = 1; i <= from.length; i++) {
    const row = [2 * i];
    for (let j = 1; j <= to.length; j++) {
      const a = from[i - 1] as string;
      const b = to[j - 1] as string;
      let best = Math.min(
        (before[j] as number) + 2,
        (row[j - 1] as number) + 2,
        (before[j - 1] as number) + swapCost(a, b),
      );
      if (i > 1 && j > 1 && a === to[j - 2] && from[i - 2] === b)
        best = Math.min(best, (older[j - 2] as number) + 2);
      row.push(best);
    }
    if (Math.min(...row) >= atMost && Math.min(...before) >= atMost) return Infinity;
    [older, before] = [before, row];
  }
  return before[to.length] as number;
}

/** The first of the candidates at the smallest distance, under a head that is added to each. */
function nearestOf(word: string, candidates: Iterable<string>): { text: string; distance: number } {
  let best = { text: '', distance: Infinity };
  for (const text of candidates) {
    if (2 * Math.abs(text.length - word.length) >= best.distance) continue;
    const distance = editDistance(word, text, best.distance);
    if (distance < best.distance) best = { text, distance };
  }
  return best;
}

/** Suffixes that would be misread behind a root without a sign ('b5' behind C is C♭5). */
const afterRoot = (root: string): readonly string[] =>
  root.length > 1 ? SUFFIXES : SUFFIXES.filter((s) => !/^[b#]/.test(s));

function* everyChord(): Generator<string> {
  for (const suffix of USUAL_SUFFIXES)
    for (const root of ROOTS) if (root.length > 1 || !/^[b#]/.test(suffix)) yield root + suffix;
}

/** Whether a word is so far from what is nearest that naming it would only puzzle: most of its signs are others. */
const isFar = (word: string, distance: number): boolean => 3 * distance >= 4 * Math.max(2, word.length);

/**
 * The nearest chord symbol to a word that is none. The root and the slash bass are kept where they can be read, and H is
 * read as B; of equally near symbols the more usual one is named. Behind a root that is followed by nothing like a
 * suffix the plain triad is named; where nothing is near, nothing ('').  Plain signs (b, #).
 */
export function nearestChord(word: string): string {
  const plain = plainSigns(word).slice(0, LONGEST);
  if (plain === 'Do') return 'Ddim';
  const bass = /\/[A-Ga-g][b#]?(?=$|\/)/.exec(plain);
  const head = bass === null ? plain : plain.slice(0, bass.index);
  const tail = bass === null ? '' : bass[0].slice(0, 2).toUpperCase() + bass[0].slice(2);
  const read = /^[A-H][b#]?/.exec(head)?.[0];
  const root = read?.replace('H', 'B');
  if (root !== undefined && plain !== root.concat(tail)) {
    // What stands between root and bass; of two basses the first.
    const rest = head.slice(root.length);
    const found = nearestOf(rest, afterRoot(root));
    return root + (isFar(rest, found.distance) ? '' : found.text) + tail;
  }
  if (root !== undefined) return root + tail;
  const found = nearestOf(head, everyChord());
  const other = nearestOf(head, ['N.C.', '%', '/']);
  if (other.distance < found.distance) return isFar(head, other.distance) ? '' : other.text;
  return isFar(head, found.distance) ? '' : found.text + tail;
}

/** The same for a word that begins with a Roman numeral, which is kept. */
export function nearestNumeral(word: string): string {
  const plain = plainSigns(word).slice(0, LONGEST);
  const m = /^[b#]?(?:VII|III|VI|IV|II|V|I|vii|iii|vi|iv|ii|v|i)/.exec(plain);
  if (m === null) return nearestOf(plain, NUMERALS).text;
  const target = /\/[b#]?(?:VII|III|VI|IV|II|V|I|vii|iii|vi|iv|ii|v|i)$/.exec(plain.slice(m[0].length));
  const rest = plain.slice(m[0].length, target === null ? undefined : m[0].length + target.index);
  return m[0] + nearestOf(rest, SUFFIXES).text + (target === null ? '' : target[0]);
}
