// Engraving: the copy made for the engraver, and what comes back from it.
import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { placeholder, placeholderSetting } from '../../src/engraving/engraving-copy';
import { type Engraver, loadEngraver } from '../../src/engraving/engraver';
import { finishSvg } from '../../src/engraving/finish-svg';
import { pedalDiagram } from '../../src/engraving/pedal-diagram';
import { readScoreCopy, windowText } from '../../src/engraving/score-copy';
import { readXml, writeXml } from '../../src/engraving/xml-tree';
import type { EngravedPage } from '../../src/engraving/types';
import type { Setting } from '../../src/harp/setting';
import { parseSetting } from '../../src/harp/setting-text';

const PART = readFileSync(new URL('./two-bars.musicxml', import.meta.url), 'utf8');
const setting = (text: string): number => {
  const result = parseSetting(text);
  if (!result.ok) throw new Error(text);
  return result.value;
};

/** The whole of a score as the engraver gets it. */
const copyOf = (xml: string): string | null => {
  const score = readScoreCopy(xml);
  return score === null ? null : windowText(score, 0, score.bars.length);
};

describe('the copy for the engraver', () => {
  it('puts a findable word in the place of each diagram, which tells its setting', () => {
    const copy = copyOf(PART) ?? '';
    expect(copy).not.toContain('harp-pedals');
    const [first, second] = [setting('D C Bb Eb F G Ab'), setting('D C Bb Eb F# G Ab')];
    expect(copy.match(/HARPPED\d+/g)).toEqual(
      [first, first, first, second, second, second].map((n) => `HARPPED${n}`),
    );
    const words = [...copy.matchAll(/<words>(HARPPED[^<]*)/g)].map(([, word]) =>
      placeholderSetting(word ?? ''),
    );
    expect(words).toEqual([first, second]);
  });

  it('prints N.C. as a word and leaves out degrees that the symbol names', () => {
    const harmony = (kind: string): string =>
      `<harmony><root><root-step>C</root-step></root>${kind}<degree><degree-value>9</degree-value></degree></harmony>`;
    const part = (kind: string): string =>
      `<score-partwise><part id="P1"><measure number="1">${harmony(kind)}</measure></part></score-partwise>`;
    const silent = copyOf(part('<kind text="N.C.">none</kind>')) ?? '';
    expect(silent).toContain('<words font-style="normal">N.C.</words>');
    expect(silent).not.toContain('harmony');
    expect(copyOf(part('<kind text="7b9">dominant</kind>'))).not.toContain('degree');
    expect(copyOf(part('<kind>dominant</kind>'))).toContain('degree-value');
  });

  it('refuses what is not MusicXML, and entity bombs', () => {
    expect(copyOf('Ebmaj7 | Cm9')).toBeNull();
    expect(copyOf('<html/>')).toBeNull();
    expect(readXml('<!DOCTYPE a [<!ENTITY b "xxxx">]><a>&b;</a>')).toBeNull();
    expect(readXml('<a>'.repeat(500) + '</a>'.repeat(500))).toBeNull();
  });

  it('is the same by bars and as a whole, comments or none', () => {
    const commented = PART.replace('</measure>', '<!-- </measure> --></measure>');
    expect(commented).not.toBe(PART);
    const bare = (text: string | null): string | undefined => text?.replaceAll(/>\s+</g, '><');
    expect(bare(copyOf(commented))).toBe(bare(copyOf(PART)));
  });

  it('says at the head of a window what stands there, and prints the metre only where it is new', () => {
    const score = readScoreCopy(PART);
    if (score === null) throw new Error('refused');
    const text = windowText(score, 1, 2, [1]);
    expect(text).toContain('id="bar-1"');
    expect(text).toContain('<time print-object="no">');
    for (const name of ['divisions', 'key', 'staves', 'clef']) expect(text).toContain(`<${name}`);
    expect(text).toContain('<print new-system="yes"/>');
  });
});

describe('the pedal diagram', () => {
  it('has seven strokes and a taller divider after the third', () => {
    const { strokes, line } = pedalDiagram(setting('Db C B# Eb F G# A'));
    expect(strokes.map((s) => s.letter)).toEqual(['D', 'C', 'B', null, 'E', 'F', 'G', 'A']);
    const side = strokes
      .filter((s) => s.letter !== null)
      .map((s) => (s.bottom <= line ? 'above' : s.top >= line ? 'below' : 'on'));
    expect(side).toEqual(['above', 'on', 'below', 'above', 'on', 'below', 'on']);
    const lengths = strokes.map((s) => s.bottom - s.top);
    expect(Math.max(...lengths)).toBe(lengths[3]);
  });
});

const drawing = (svg: string): string => {
  const finished = finishSvg(svg);
  return finished === null ? '' : writeXml(finished.drawing);
};

describe('cleaning', () => {
  it('drops scripts, styles, handlers, foreign objects and outside references', () => {
    const dirty =
      '<svg xmlns="http://www.w3.org/2000/svg" onload="x()"><script>x()</script><style>a{}</style>' +
      '<foreignObject><b/></foreignObject><a href="javascript:x()"><path d="M0 0"/></a>' +
      '<g id="n1" class="note" onclick="x()"><use href="https://example.org/#a"/><use href="#E0A4"/></g>' +
      '<rect fill="url(https://example.org/)"/></svg>';
    const svg = drawing(dirty);
    expect(svg).toBe(
      '<svg xmlns="http://www.w3.org/2000/svg"><g id="n1" class="note"><use/><use href="#E0A4"/></g><rect/></svg>',
    );
  });
});

describe('a diagram', () => {
  it('moves up where it would touch a chord symbol, and stays where it is free', () => {
    const svg = (harmX: number): string =>
      `<svg xmlns="http://www.w3.org/2000/svg"><g class="dir"><text x="3000" y="2000"><tspan>${placeholder(1093 as Setting)}</tspan></text></g>` +
      `<g class="harm"><text x="${harmX}" y="2500"><tspan>Dm7</tspan></text></g></svg>`;
    const top = (harmX: number): number => Number(/translate\(\d+, (-?\d+)\)/.exec(drawing(svg(harmX)))?.[1]);
    expect(top(9000)).toBe(1700);
    expect(top(3000)).toBeLessThan(2500 - 300 - 44 * 17);
  });
});

describe('pedal words', () => {
  /** Heads and words, [x, y] each, in one system of a drawing 9,000 × 4,000. */
  const placed = (
    heads: readonly (readonly [number, number])[],
    words: readonly (readonly [number, number, string])[],
  ) => {
    const inner = [
      ...heads.map(
        ([x, y]) =>
          `<g class="notehead"><use href="#E0A4" transform="translate(${x}, ${y}) scale(0.72, 0.72)"/></g>`,
      ),
      ...words.map(
        ([x, y, word]) => `<g class="dir"><text x="${x}" y="${y}"><tspan>${word}</tspan></text></g>`,
      ),
    ].join('');
    const svg = drawing(
      '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 900 400"><svg class="definition-scale" viewBox="0 0 9000 4000">' +
        `<g class="system">${inner}</g></svg></svg>`,
    );
    const moves = [...svg.matchAll(/pedal-move(?: pedal-line)?" transform="translate\((-?\d+), (-?\d+)\)"/g)];
    return { svg, moves: moves.map(([, x, y]) => [Number(x), Number(y)]) };
  };

  it('go down where a low note head would touch them, and no further than they must', () => {
    expect(placed([[8000, 1800]], [[3000, 2000, 'C♮']]).moves).toEqual([[0, 60]]);
    // Head bottom at 1890, then room, then the letters' height.
    expect(placed([[3000, 1800]], [[3000, 2000, 'C♮']]).moves).toEqual([[0, 221]]);
  });

  it('that would run into each other move apart, by halves, and a third leaves both alone', () => {
    const { moves } = placed(
      [],
      [
        [3000, 2000, 'C♮'],
        [3200, 2000, 'D♭'],
        [5000, 2000, 'E♭'],
      ],
    );
    expect(moves).toEqual([
      [-160, 60],
      [160, 60],
      [0, 60],
    ]);
  });

  it('of two lines stay on them, and make the drawing as high as they need', () => {
    const blank = '\u00a0';
    const { svg, moves } = placed(
      [[3000, 3900]],
      [
        [3000, 3800, `C♮${blank}`],
        [3200, 3700, `${blank}D♭`],
      ],
    );
    expect((moves[0]?.[1] ?? 0) + 3800).toBe((moves[1]?.[1] ?? 0) + 3700);
    // One stands over the other: neither has to move aside.
    expect(moves.map(([x]) => x)).toEqual([0, 0]);
    const [outer, inner] = [...svg.matchAll(/viewBox="0 0 \d+ (\d+)"/g)].map(([, high]) => Number(high));
    expect(inner).toBeGreaterThan(4300);
    expect(outer).toBe(Math.ceil((inner ?? 0) / 10));
  });
});

const textOf = (page: EngravedPage): string => page.systems.map(({ svg }) => svg).join('');

describe('the engraver', () => {
  let engrave: Engraver;
  beforeAll(async () => {
    engrave = await loadEngraver();
  });

  it('keeps note ids, draws the diagrams, marks pedal words, leaves no placeholder', () => {
    const result = engrave(PART, { width: 800, scale: 40 });
    if (!result.ok) throw new Error('refused');
    const svg = textOf(result.value);
    for (const id of ['n1', 'n2', 'n3', 'n4', 'n5']) expect(svg).toContain(`id="${id}" class="note"`);
    expect(svg.match(/class="pedal-diagram"/g)).toHaveLength(2);
    expect(svg).toContain('aria-label="Pedals D C B♭ | E♭ F G A♭"');
    expect(svg.match(/pedal-move/g)).toHaveLength(1);
    expect(svg).not.toContain('HARPPED');
    expect(svg).not.toContain('<style');
    expect(result.value.font).toMatch(/^d09GMg/); // 'wOF2'
  });

  it('is the same every time, and reflows to the width', () => {
    const at = (width: number, scale = 40): string => {
      const result = engrave(PART, { width, scale });
      return result.ok ? textOf(result.value) : '';
    };
    const systems = (svg: string): number => svg.match(/class="system"/g)?.length ?? 0;
    expect(at(800)).toBe(at(800));
    expect(systems(at(800))).toBe(1);
    expect(systems(at(300, 80))).toBe(2);
  });

  it('answers a damaged part with a problem', () => {
    const result = engrave(PART.slice(0, 700), { width: 800, scale: 40 });
    expect(result.ok ? [] : result.problems.map((p) => p.code)).toEqual(['engraving']);
  });
});
