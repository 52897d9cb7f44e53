/** Reads what follows a root: one row of the grammar, then modifiers. */

import { type Formula, type FormulaTone, formulaName, hasTone, sortFormula } from './formula';
import { SUFFIX_ROWS } from './grammar';

/** Every writing with its formula. */
const HEADS: ReadonlyMap<string, Formula> = new Map(
  SUFFIX_ROWS.flatMap((row) => row.writings.map((writing) => [writing, row.tones] as const)),
);
const LONGEST_HEAD = Math.max(...[...HEADS.keys()].map((head) => head.length));

interface State {
  readonly tones: Formula;
  /** Modifiers used so far, in their plain form, each allowed once. */
  readonly used: readonly string[];
}

const ALTER: Readonly<Record<string, number>> = { b: -1, '-': -1, '#': 1, '+': 1, '': 0 };
const ADDABLE = new Set(['b9', '#9', '#11', 'b13', '2', '4', '6', '9', '11', '13']);
const ALTERABLE = new Set(['b5', '#5', 'b9', '#9', '#11', 'b13', '#4']);

const without = (f: Formula, test: (t: FormulaTone) => boolean): Formula => f.filter((t) => !test(t));

function add(state: State, name: string, degree: number, alter: number): State | null {
  if (hasTone(state.tones, degree, alter)) return null;
  return { tones: sortFormula([...state.tones, { degree, alter }]), used: [...state.used, name] };
}

/** An alteration replaces the plain degree where the chord has it, and stands beside another alteration. */
function alterDegree(state: State, name: string, degree: number, alter: number): State | null {
  const rest = without(state.tones, (t) => t.degree === degree && t.alter === 0);
  return add({ ...state, tones: rest }, name, degree, alter);
}

/** The third gives way to a second or a fourth. */
function suspend(state: State, degree: 2 | 4): State | null {
  const compound = degree + 7;
  if (hasTone(state.tones, compound, 0)) {
    if (degree === 2 || !hasTone(state.tones, 3)) return null;
  }
  if (!hasTone(state.tones, 3) && !state.used.some((u) => u.startsWith('sus'))) return null;
  const rest = without(state.tones, (t) => t.degree === 3);
  return add({ ...state, tones: rest }, `sus${degree}`, degree, 0);
}

function omit(state: State, degree: number): State | null {
  const rest = without(state.tones, (t) => t.degree === degree);
  if (rest.length === state.tones.length) return null;
  return { tones: rest, used: [...state.used, `no${degree}`] };
}

/** One modifier at the head of the text: the state after it and its length, or null. */
function modifier(state: State, text: string, inside: boolean): readonly [State, number] | null {
  const done = (next: State | null, length: number): readonly [State, number] | null =>
    next === null || next.used.slice(0, -1).includes(next.used.at(-1) as string) ? null : [next, length];

  let m = /^sus(24|2sus4|[24])?/.exec(text);
  if (m !== null) {
    if (m[1] === '24' || m[1] === '2sus4') {
      const two = suspend(state, 2);
      return two === null ? null : done(suspend(two, 4), m[0].length);
    }
    return done(suspend(state, m[1] === '2' ? 2 : 4), m[0].length);
  }
  m = /^add([b#+-]?)(11|13|2|4|6|9)/.exec(text);
  if (m !== null) {
    const alter = ALTER[m[1] as string] as number;
    const sign = alter < 0 ? 'b' : alter > 0 ? '#' : '';
    if (!ADDABLE.has(sign + m[2])) return null;
    const degree = Number(m[2]) === 2 ? 9 : Number(m[2]) === 4 ? 11 : Number(m[2]);
    return done(add(state, `add${sign}${degree}`, degree, alter), m[0].length);
  }
  m = /^(?:omit|no)([35])/.exec(text);
  if (m !== null) return done(omit(state, Number(m[1])), m[0].length);
  m = /^([b#+-])(11|13|4|5|9)/.exec(text);
  if (m !== null) {
    const alter = ALTER[m[1] as string] as number;
    const name = (alter < 0 ? 'b' : '#') + m[2];
    if (!ALTERABLE.has(name)) return null;
    return done(
      alterDegree(state, name === '#4' ? '#11' : name, m[2] === '4' ? 11 : Number(m[2]), alter),
      m[0].length,
    );
  }
  m = /^(?:\+|aug)(?=$|\))/.exec(text);
  if (m !== null) return done(alterDegree(state, '#5', 5, 1), m[0].length);
  m = /^(9|11|13)(?=[,)])/.exec(text);
  if (m !== null && inside && (hasTone(state.tones, 7) || hasTone(state.tones, 6)))
    return done(add(state, `add${m[1]}`, Number(m[1]), 0), m[0].length);
  return null;
}

/** All modifiers to the end of the text, or null where one cannot be read. */
function modifiers(start: State, text: string): State | null {
  let state = start;
  let at = 0;
  let inside = false;
  let filled = false;
  while (at < text.length) {
    const c = text[at];
    if (c === '(' && !inside) [inside, filled] = [true, false];
    else if (c === ')' && inside && filled) inside = false;
    else if (c === ',' && inside && filled) filled = false;
    else if (c === ' ' && inside) {
      at++;
      continue;
    } else {
      const step = modifier(state, text.slice(at), inside);
      if (step === null) return null;
      state = step[0];
      at += step[1];
      filled = true;
      continue;
    }
    at++;
  }
  return inside ? null : state;
}

/**
 * On a dominant whose only alteration is ♭13, that tone takes the place of the fifth, a semitone below it;
 * beside another altered tone the fifth stays (common practice; tonal's dictionary reads both so).
 */
function settle({ tones, used }: State): Formula {
  const lone = used.length === 1 && used[0] === 'b13' && hasTone(tones, 3, 0) && hasTone(tones, 7, -1);
  return lone ? without(tones, (t) => t.degree === 5) : tones;
}

/** The formula of a suffix in plain signs ('m7b5', '7(b9,#11)', ''), or null. */
export function parseSuffix(text: string): Formula | null {
  // Longest writing first, so that `maj7` is tried before `ma` and `m`.
  for (let length = Math.min(LONGEST_HEAD, text.length); length >= 0; length--) {
    const tones = HEADS.get(text.slice(0, length));
    if (tones === undefined) continue;
    const state = modifiers({ tones, used: [] }, text.slice(length));
    if (state !== null) return settle(state);
  }
  return null;
}

/** The plain suffix for exactly these degrees: a row of the grammar, else the shortest compound; null where the grammar has none. */
export function suffixOf(f: Formula): string | null {
  const wanted = formulaName(f);
  const plain = SUFFIX_ROWS.find((row) => row.writings[0] !== '2' && formulaName(row.tones) === wanted);
  if (plain !== undefined) return plain.writings[0] as string;
  const sign = (alter: number): string => (alter < 0 ? 'b' : alter > 0 ? '#' : '');
  let best: string | null = null;
  const offer = (text: string): void => {
    if (best !== null && text.length >= best.length) return;
    const read = parseSuffix(text);
    if (read !== null && formulaName(read) === wanted) best = text;
  };
  for (const row of SUFFIX_ROWS) {
    const more = f.filter((t) => !hasTone(row.tones, t.degree, t.alter));
    const less = row.tones.filter((t) => !hasTone(f, t.degree, t.alter));
    if (more.length + less.length > 5) continue;
    const suspended = more.filter((t) => t.degree === 2 || t.degree === 4);
    const altered = more.filter((t) => ALTERABLE.has(sign(t.alter) + t.degree));
    const added = more.filter((t) => !suspended.includes(t) && !altered.includes(t));
    const gone = less.filter(
      (t) =>
        !(t.degree === 3 && suspended.length > 0) &&
        !altered.some((a) => a.degree === t.degree && t.alter === 0),
    );
    const alterations = altered.map((t) => sign(t.alter) + t.degree).join('');
    const rest =
      suspended.map((t) => `sus${t.degree}`).join('') +
      added.map((t) => `add${sign(t.alter)}${t.degree}`).join('') +
      gone.map((t) => `no${t.degree}`).join('');
    const head = row.writings[0] as string;
    // `2` is read, but not written.
    if (head === '2') continue;
    if (head !== '') offer(head + alterations);
    // Directly behind a root an alteration would be taken for the root's own sign: parentheses there.
    offer(head + (head === '' && alterations !== '' ? `(${alterations})` : alterations) + rest);
    offer(head + gone.map((t) => `no${t.degree}`).join(''));
    // Altered tones as additions, where the plain degree stays.
    offer(
      head +
        suspended.map((t) => `sus${t.degree}`).join('') +
        [...altered, ...added].map((t) => `add${sign(t.alter)}${t.degree}`).join('') +
        less
          .filter((t) => !(t.degree === 3 && suspended.length > 0))
          .map((t) => `no${t.degree}`)
          .join(''),
    );
  }
  return best;
}
