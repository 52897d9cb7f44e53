/** Systems of a score put into the page: those it shows already stay, others come a few at a time. */

import type { SentPage } from '../worker/engraving-worker';
import { showLine } from './score-line';

/** So long at a stretch the page may be busy with drawings; then it gets to breathe. */
const STRETCH_MS = 6;

/** So many systems that go are taken away at once. */
const FEW = 2;

const breath = (): Promise<void> => new Promise((resolve) => setTimeout(resolve));

const keyOf = (node: Element): string | null => node.getAttribute('data-key');

/** Keys of the systems that a score shows. */
export const shownKeys = (holder: Element): string[] =>
  [...holder.children].flatMap((node) => keyOf(node) ?? []);

/** Parsed as SVG and adopted, never as HTML; the worker has cleaned it to a white list. */
function parsed(key: string, svg: string): SVGElement {
  const { documentElement } = new DOMParser().parseFromString(svg, 'image/svg+xml');
  documentElement.setAttribute('data-key', key);
  return document.adoptNode(documentElement) as unknown as SVGElement;
}

export interface Showing {
  readonly line: boolean;
  /** Whether these are all systems; else the page keeps its height for those to come. */
  readonly complete: boolean;
  /** What is done to each system before it is seen. */
  readonly dress: (system: Element) => void;
  /** Whether something newer is to be shown, so that this is given up. */
  readonly isStale: () => boolean;
}

/**
 * Shows a page's systems in their order. A change of one system is made at a stroke; many come from the top down, with
 * the page free in between. `stale` where it was given up, `missing` where the page lacks a system it was said to show.
 */
export async function showSystems(
  holder: HTMLElement,
  systems: SentPage['systems'],
  { line, complete, dress, isStale }: Showing,
): Promise<'shown' | 'stale' | 'missing'> {
  let began = performance.now();
  const breathe = async (): Promise<boolean> => {
    if (performance.now() - began < STRETCH_MS) return true;
    await breath();
    began = performance.now();
    return !isStale();
  };
  const [only] = systems;
  if (line && only !== undefined) {
    const { key, svg } = only;
    if (svg === null) return shownKeys(holder).includes(key) ? 'shown' : 'missing';
    return showLine(holder, { key, svg }, { dress, breathe });
  }
  const shown = new Map<string, SVGElement[]>();
  for (const node of holder.children as HTMLCollectionOf<SVGElement>) {
    const key = keyOf(node) ?? '';
    shown.set(key, [...(shown.get(key) ?? []), node]);
  }
  const wanted = systems.map(({ key, svg }) => ({ key, svg, node: shown.get(key)?.shift() ?? null }));
  // What goes must not let the page shrink under the reader, nor be seen beside what comes.
  holder.style.minHeight = `${holder.offsetHeight}px`;
  const going = [...shown.values()].flat();
  for (const gone of going) gone.style.opacity = '0';
  // A change of one or two is made at a stroke.
  if (going.length <= FEW) for (const gone of going.splice(0)) gone.remove();
  let at = holder.firstElementChild;
  for (const { key, svg, node } of wanted) {
    const system = node ?? (svg === null ? null : parsed(key, svg));
    if (system === null) return 'missing';
    if (node === null) dress(system);
    else {
      // One that stays keeps its place behind what goes; new ones come before it, where they are seen.
      node.style.opacity = '';
      while (at !== null && at !== node && going.includes(at as SVGElement)) at = at.nextElementSibling;
    }
    if (system === at) at = at.nextElementSibling;
    else holder.insertBefore(system, at);
    if (!(await breathe())) return 'stale';
  }
  for (const gone of going) {
    gone.remove();
    if (!(await breathe())) return 'stale';
  }
  if (complete) holder.style.minHeight = '';
  return 'shown';
}
