/** Cuts the text of a progression into bars of words, each with its place. */

export interface Word {
  readonly text: string;
  readonly start: number;
  readonly end: number;
}
export interface WordBar {
  readonly words: readonly Word[];
  /** Where the bar stands: from the first word to the last, or the gap where there is none. */
  readonly start: number;
  readonly end: number;
}
export interface Cut {
  readonly bars: readonly WordBar[];
  /** Repeat signs `|:` `:|`: read as plain bar lines. */
  readonly repeats: readonly Word[];
}

/** A bar line with what belongs to it; a line break; a run of blanks; anything else one sign at a time. */
const TOKEN = /(?:\[\||\|\]|\|:|:\||[|‖])+|(?:\r\n|[\n\r\u2028\u2029])|[^\S\n\r\u2028\u2029]+|[^]/gu;

/**
 * Bars and words. A bar line may open or close the line, stand double (`||`), or be a line break where no bar line
 * stands already. Nothing between two lone bar lines of one line is an empty bar. Blanks inside parentheses do not
 * part a word; a run of slashes is one word each.
 */
export function cutText(text: string): Cut {
  const bars: WordBar[] = [];
  const repeats: Word[] = [];
  let words: Word[] = [];
  let from = -1;
  /** What stood last, blanks apart: nothing yet, a bar line, or a word. */
  let last: 'start' | 'line' | 'word' = 'start';
  let lineEnd = 0;

  const endWord = (at: number): void => {
    if (from < 0) return;
    const run = text.slice(from, at);
    if (/^\/+$/.test(run)) for (let i = from; i < at; i++) words.push({ text: '/', start: i, end: i + 1 });
    else words.push({ text: run, start: from, end: at });
    from = -1;
  };
  const endBar = (): void => {
    const [first, final] = [words[0], words.at(-1)];
    if (first !== undefined && final !== undefined) bars.push({ words, start: first.start, end: final.end });
    words = [];
  };
  /** True while inside parentheses that close in this word's line before a bar line. */
  const insideParentheses = (at: number): boolean => {
    const open = text.slice(from, at).lastIndexOf('(');
    if (from < 0 || open < 0 || text.slice(from + open, at).includes(')')) return false;
    return /^[^|()\n\r]{0,40}\)/.test(text.slice(at, at + 48));
  };

  for (const match of text.matchAll(TOKEN)) {
    const [token] = match;
    const at = match.index;
    if (/^[|‖[:]/.test(token) && /[|‖]/.test(token)) {
      endWord(at);
      if (last === 'line' && words.length === 0) bars.push({ words: [], start: lineEnd, end: at });
      endBar();
      if (token.includes(':')) repeats.push({ text: token, start: at, end: at + token.length });
      last = 'line';
      lineEnd = at + token.length;
    } else if (/^[\n\r\u2028\u2029]/.test(token)) {
      endWord(at);
      endBar();
      last = 'start';
    } else if (/^\s/.test(token)) {
      if (!insideParentheses(at)) endWord(at);
    } else {
      if (from < 0) from = at;
      last = 'word';
    }
  }
  endWord(text.length);
  endBar();
  return { bars, repeats };
}
