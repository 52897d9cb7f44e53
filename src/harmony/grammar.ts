/** The chord suffixes as data: what may follow a root, how it is written, and the degrees it asks for. */

import { type Formula, formula } from './formula';

/** One chord quality with everything that may stand for it. The first writing is the plain one. */
export interface SuffixRow {
  readonly writings: readonly string[];
  readonly tones: Formula;
}

const MAJ = ['maj', 'M', 'Δ', 'ma', 'Maj', 'MAJ', 'Ma', '^', 'major'] as const;
/** Those that may stand for a plain triad: Δ alone is a major seventh, ^ alone is read both ways. */
const MAJ_TRIAD = ['maj', 'M', 'ma', 'Maj', 'MAJ', 'Ma', 'major'] as const;
const MIN = ['m', 'min', '-', 'mi', 'Min', 'MIN', 'Mi', 'minor'] as const;
const DIM = ['dim', 'o', 'Dim', 'DIM'] as const;
const AUG = ['aug', '+', 'Aug', 'AUG'] as const;

const each = (heads: readonly string[], tails: readonly string[]): string[] =>
  heads.flatMap((head) => tails.map((tail) => head + tail));
/** maj7, M7, Δ7, … bare, behind a slash and in parentheses. */
const majorSeventh = (n: string): string[] =>
  MAJ.flatMap((m) => [`${m}${n}`, `(${m}${n})`, `/${m}${n}`]).sort(
    (a, b) => +/[(/]/.test(a) - +/[(/]/.test(b),
  );

/**
 * Common practice throughout; where practice is split, the reading is the one given here:
 * the 11 has no third, the 13 no eleventh; `alt` is sounded as 7♯5♯9; `2` is add9; `Δ` is maj7; `ø` is m7♭5;
 * a + or − directly before 7, 9 is the chord's quality (+9 is aug9), behind a seventh it alters (7+9 is 7♯9).
 */
export const SUFFIX_ROWS: readonly SuffixRow[] = (
  [
    ['1 3 5', ['', ...MAJ_TRIAD]],
    ['1 b3 5', MIN],
    ['1 3 5 b7', ['7', 'dom7', 'dom']],
    ['1 3 5 7', [...each(MAJ, ['7']), 'Δ', '(maj7)', '(M7)', '(Δ7)']],
    ['1 b3 5 b7', each(MIN, ['7'])],
    ['1 3 5 6', ['6', ...each(MAJ_TRIAD, ['6'])]],
    ['1 b3 5 6', each(MIN, ['6'])],
    ['1 3 5 6 9', ['6/9', '69', ...each(MAJ_TRIAD, ['69', '6/9'])]],
    ['1 b3 5 6 9', each(MIN, ['6/9', '69'])],
    ['1 3 5 b7 9', ['9', 'dom9']],
    ['1 3 5 7 9', each(MAJ, ['9'])],
    ['1 b3 5 b7 9', each(MIN, ['9'])],
    ['1 5 b7 9 11', ['11', 'dom11']],
    ['1 3 5 7 9 11', each(MAJ, ['11'])],
    ['1 b3 5 b7 9 11', each(MIN, ['11'])],
    ['1 3 5 b7 9 13', ['13', 'dom13']],
    ['1 3 5 7 9 13', each(MAJ, ['13'])],
    ['1 b3 5 b7 9 13', each(MIN, ['13'])],
    ['1 b3 b5', DIM],
    ['1 b3 b5 bb7', each(DIM, ['7'])],
    ['1 b3 b5 b7', ['ø', 'ø7']],
    ['1 b3 b5 b7 9', ['ø9']],
    ['1 b3 b5 b7 9 11', ['ø11']],
    ['1 3 #5', [...AUG, '+5']],
    ['1 3 #5 b7', each(AUG, ['7'])],
    ['1 3 #5 b7 9', each(AUG, ['9'])],
    ['1 3 #5 7', each(AUG, majorSeventh('7'))],
    ['1 b3 5 7', ['mM7', ...each(MIN, majorSeventh('7')), 'mΔ', '-Δ']],
    ['1 b3 5 7 9', ['mM9', ...each(MIN, majorSeventh('9'))]],
    ['1 b3 5 7 9 11', ['mM11', ...each(MIN, majorSeventh('11'))]],
    ['1 b3 5 7 9 13', ['mM13', ...each(MIN, majorSeventh('13'))]],
    ['1 b3 b5 7', each(DIM, majorSeventh('7'))],
    ['1 5', ['5']],
    ['1 3 5 9', ['2']],
    ['1 3 #5 b7 #9', ['alt', '7alt']],
  ] as const
).map(([tones, writings]) => ({ tones: formula(tones), writings: [...new Set<string>(writings)] }));

/** What may follow: each of these once, in any order, bare or in parentheses (there also after commas). */
export const ALTERATIONS = ['b5', '#5', 'b9', '#9', '#11', 'b13'] as const;
export const SUSPENSIONS = ['sus4', 'sus2', 'sus'] as const;
export const ADDITIONS = [
  'add9',
  'add11',
  'add2',
  'add4',
  'add6',
  'add13',
  'addb9',
  'add#9',
  'add#11',
  'addb13',
] as const;
export const OMISSIONS = ['no3', 'no5', 'omit3', 'omit5'] as const;

/** One way of writing each sign: ♭ b, ♯ #, − -, ° o, ∆ Δ, Ø ø. Lengths in code units do not change. */
export const plainSigns = (text: string): string =>
  text
    .replace(/♭/g, 'b')
    .replace(/♯/g, '#')
    .replace(/[−–‐‑]/g, '-')
    .replace(/[°º˚]/g, 'o')
    .replace(/[∆△▵]/g, 'Δ')
    .replace(/[Ø∅⌀]/g, 'ø');

/** Pairs of alterations that are written together, in the order in which they are written. */
const PAIRS = ALTERATIONS.flatMap((a, i) => ALTERATIONS.slice(i + 1).map((b) => [a, b] as const));

/**
 * The suffixes by name: every writing of every row, and the usual compounds. The grammar reads more than
 * these (any modifiers together); this is the list in which the nearest right symbol is looked for.
 */
export const SUFFIXES: readonly string[] = [
  ...new Set([
    ...SUFFIX_ROWS.map((row) => row.writings[0] as string),
    ...[
      'add9',
      'madd9',
      'add11',
      'madd11',
      'sus4',
      'sus2',
      'sus',
      '7sus4',
      '9sus4',
      '13sus4',
      '7sus',
      '9sus',
    ],
    ...['13sus', '7sus2', 'm7b5', 'm7(b5)', 'm9b5', 'maj7#11', 'maj9#11', 'maj13#11', 'maj7#5', 'maj7b5'],
    ...each(['7', '9', '13'], ALTERATIONS).filter((s) => s !== '13b13'),
    ...each(['', 'm', 'm7', 'maj7', '6', 'm6'], ['add9', 'add11']).filter((s) => s !== ''),
    ...each(['maj7', 'maj9', '7', 'm7'], ['sus4', 'sus2']).filter((s) => s !== 'maj9sus2'),
    ...each(['7', '9', '13', 'm7', 'maj7', ''], ['no3', 'no5', 'omit3', 'omit5', '(no3)', '(omit5)']),
    ...each(
      ['7', '9', '13'],
      PAIRS.map(([a, b]) => a + b),
    ).filter((s) => !/^9.*9|^13.*b13/.test(s)),
    ...each(
      ['7', '9', '13', 'maj7', 'm7', ''],
      ALTERATIONS.map((a) => `(${a})`),
    ).filter((s) => s !== '13(b13)'),
    ...each(
      ['7'],
      PAIRS.map(([a, b]) => `(${a},${b})`),
    ),
    ...each(
      ['', 'm', '7', 'm7', 'maj7'],
      ADDITIONS.map((a) => `(${a})`),
    ),
    ...each(['7sus4', '9sus4', '13sus4'], ['b9', 'b13']).filter((s) => !/^9.*9$|^13.*b13$/.test(s)),
    ...SUFFIX_ROWS.flatMap((row) => row.writings),
  ]),
];

/** The usual ones among them: enough for a word of which not even the root can be read. */
export const USUAL_SUFFIXES: readonly string[] = SUFFIXES.slice(0, 90);
