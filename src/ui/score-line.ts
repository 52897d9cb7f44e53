/** One long line put into the page: bars that look as before stay, the others come a few at a time. */

const SVG = 'http://www.w3.org/2000/svg';
const BAR = '<g class="measure"';

/** A bar's drawing put where the line begins, and how far along it stands. */
export interface Bar {
  readonly text: string;
  readonly at: number;
}
/** A bar as it was put in; `at` is where it was drawn, wherever it has been moved since. */
interface Piece extends Bar {
  readonly nodes: readonly Element[];
}

const NUMBER = String.raw`-?\d+(?:\.\d+)?`;
const PAIR = new RegExp(`(${NUMBER})([ ,]+${NUMBER})`, 'g');
/** What holds places: glyphs, paths of absolute pairs, corners, places of text and boxes; a group's shift is none. */
const PLACED = new RegExp(
  `<use [^>]*?transform="translate\\([^)]*\\)| (?:d="[MLCQZz0-9 ,.-]*"|points="[^"]*"|(?:x|x1|x2|cx)="${NUMBER}")`,
  'g',
);

/**
 * A bar's drawing with its places counted from its own first staff line, so that it is known again where it has moved.
 * A place that is written otherwise makes it another drawing, never the same.
 */
export function homed(svg: string): Bar {
  const at = Number(/ d="M(-?\d+)/.exec(svg)?.[1] ?? 0);
  const less = (x: string): string => String(Number((Number(x) - at).toFixed(3)));
  const text = svg.replaceAll(PLACED, (place) =>
    /^ (?:x|c)/.test(place)
      ? place.replace(/"([^"]*)"/, (_, x: string) => `"${less(x)}"`)
      : place.replaceAll(PAIR, (_, x: string, y: string) => less(x) + y),
  );
  return { text, at };
}

/** A line as it was put in: what is about its bars, and the bars from left to right. */
interface Line {
  readonly about: string;
  pieces: readonly Piece[];
}

const shownLines = new WeakMap<Element, Line>();

/** Where the group that a text begins with ends. */
function groupEnd(text: string): number {
  let depth = 0;
  for (const tag of text.matchAll(/<(\/?)g(?=[\s>])[^>]*?(\/?)>/g)) {
    if (tag[2] === '/') continue;
    depth += tag[1] === '/' ? -1 : 1;
    if (depth === 0) return tag.index + tag[0].length;
  }
  return text.length;
}

/** A line's drawing taken apart: what stands before its bars, each bar, what stands after. */
export function partsOf(svg: string): { before: string; bars: readonly string[]; after: string } {
  const [before = '', ...bars] = svg.split(new RegExp(`(?=${BAR})`));
  const last = bars.pop();
  if (last === undefined) return { before, bars, after: '' };
  const end = groupEnd(last);
  return { before, bars: [...bars, last.slice(0, end)], after: last.slice(end) };
}

/** Parsed as SVG and adopted, never as HTML; the worker has cleaned it to a white list. */
function parsed(svg: string): SVGElement {
  const { documentElement } = new DOMParser().parseFromString(svg, 'image/svg+xml');
  return document.adoptNode(documentElement) as unknown as SVGElement;
}

const nodesOf = (svg: string): readonly Element[] => [...parsed(`<svg xmlns="${SVG}">${svg}</svg>`).children];

/** A bar that looks as before is moved to where it stands now. */
function move(piece: Piece, at: number): void {
  for (const node of piece.nodes) {
    if (at === piece.at) node.removeAttribute('transform');
    else node.setAttribute('transform', `translate(${at - piece.at}, 0)`);
  }
}

/** The line's own size and key; it is scrolled. */
function measureUp(line: Element, from: Element, key: string): void {
  const frames = (svg: Element): Element[] => [svg, ...svg.querySelectorAll('svg')];
  frames(line).forEach((frame, i) => {
    const box = frames(from)[i]?.getAttribute('viewBox');
    if (typeof box === 'string') frame.setAttribute('viewBox', box);
  });
  line.setAttribute('data-key', key);
  (line as SVGElement).style.width = `${from.getAttribute('viewBox')?.split(' ')[2] ?? ''}px`;
}

/** Glyphs that the line lacks; they have the same names in every line. */
function addGlyphs(line: Element, from: Element): void {
  const defs = line.querySelector('defs');
  const have = new Set([...(defs?.children ?? [])].map(({ id }) => id));
  for (const glyph of [...(from.querySelector('defs')?.children ?? [])])
    if (!have.has(glyph.id)) defs?.append(glyph);
}

/** Of each bar wanted the piece that shows it already: place by place, or where their number differs, from both ends. */
function standing(old: readonly Piece[], wanted: readonly Bar[]): readonly (Piece | undefined)[] {
  const same = (piece: Piece | undefined, bar: Bar): Piece | undefined =>
    piece?.text === bar.text ? piece : undefined;
  const shift = old.length - wanted.length;
  if (shift === 0) return wanted.map((bar, i) => same(old[i], bar));
  const most = Math.min(wanted.length, old.length);
  let head = 0;
  while (head < most && old[head]?.text === wanted[head]?.text) head++;
  let tail = 0;
  while (tail < most - head && old.at(-1 - tail)?.text === wanted.at(-1 - tail)?.text) tail++;
  return wanted.map((_, i) => (i < head ? old[i] : i >= wanted.length - tail ? old[i + shift] : undefined));
}

export interface LineShowing {
  /** What is done to each bar before it is seen. */
  readonly dress: (bar: Element) => void;
  /** Lets the page breathe where it is time; false where something newer is to be shown. */
  readonly breathe: () => Promise<boolean>;
}

/** Shows a line in `holder`, in place of whatever it shows. `stale` where it was given up. */
export async function showLine(
  holder: Element,
  { key, svg }: { readonly key: string; readonly svg: string },
  { dress, breathe }: LineShowing,
): Promise<'shown' | 'stale'> {
  const { before, bars, after } = partsOf(svg);
  const frame = parsed(before + after);
  // Neither its size nor its glyphs make it another line.
  const about = (before.slice(Math.max(0, before.indexOf('</defs>'))) + after).replaceAll(
    /viewBox="[^"]*"/g,
    '',
  );
  const kept = [...holder.children].find((node) => shownLines.get(node)?.about === about);
  const line = kept ?? frame;
  const state: Line = shownLines.get(line) ?? { about, pieces: [] };
  shownLines.set(line, state);
  for (const node of [...holder.children]) {
    if (node === line) continue;
    node.remove();
    if (!(await breathe())) return 'stale';
  }
  if (kept === undefined) holder.append(line);
  else addGlyphs(line, frame);
  measureUp(line, frame, key);
  const system = [...line.querySelectorAll('g.system')].at(-1) ?? line;
  const wanted: Bar[] = [];
  for (const bar of bars) {
    wanted.push(homed(bar));
    if (!(await breathe())) return 'stale';
  }
  const old = state.pieces;
  const stays = standing(old, wanted);
  const done: Piece[] = [];
  let next = 0;
  const goes = (): void => {
    for (const node of old[next++]?.nodes ?? []) node.remove();
  };
  // Bar by bar: one comes and one goes, so that the line is whole but for a moment.
  for (const [i, bar] of wanted.entries()) {
    const stay = stays[i];
    if (stay !== undefined) {
      while (old[next] !== stay) goes();
      next++;
      move(stay, bar.at);
      done.push(stay);
      continue;
    }
    const piece = { ...bar, nodes: nodesOf(bars[i] ?? '') };
    piece.nodes.forEach(dress);
    for (const node of piece.nodes) system.insertBefore(node, old[next]?.nodes[0] ?? null);
    done.push(piece);
    const replaced = old[next];
    if (replaced !== undefined && !stays.includes(replaced)) goes();
    state.pieces = [...done, ...old.slice(next)];
    if (!(await breathe())) return 'stale';
  }
  while (next < old.length) goes();
  state.pieces = done;
  return 'shown';
}
