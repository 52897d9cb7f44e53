// Golden pages: a dozen small pages, each compared with what it looked like when it was last opened and looked at.
// Every sign, word and beam must be there, within half a staff space of its place. GOLDEN=write takes them anew.
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Element } from 'xast';
import { beforeAll, describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { PAGE_MUSIC } from '../../src/engraving/defaults';
import { type Engraver, loadEngraver } from '../../src/engraving/engraver';
import { elementsOf, readXml, textIn } from '../../src/engraving/xml-tree';
import { type PlannedPassage, settingAt } from '../../src/harp/planned';
import { type MusicXmlOptions, writeMusicXml } from '../../src/interchange/musicxml-write';
import { makeBars } from '../../src/music/metre';
import { richPassage } from '../interchange/rich-passage';

const FILE = fileURLToPath(new URL('./pages.json', import.meta.url));
const BAR = 13_440;
/** Half a staff space, in the engraver's units. */
const TOLERANCE = 90;

/** Bars `first` to `last` (from 0) of the rich passage. */
function slice(first: number, last: number): PlannedPassage {
  const { passage, ...plan } = richPassage();
  const [from, to] = [first * BAR, (last + 1) * BAR];
  const own = <T extends { readonly onset: number }>(list: readonly T[] = []) =>
    list
      .filter(({ onset }) => onset >= from && onset < to)
      .map((e) => ({ ...e, onset: ticks(e.onset - from) }));
  const plucks = own(passage.plucks);
  const ids = new Set(plucks.map(({ id }) => id));
  return {
    ...plan,
    start: first === 0 ? plan.start : settingAt(richPassage(), ticks(from - 1)),
    moves: own(plan.moves),
    passage: {
      ...passage,
      ...{ title: '', bars: makeBars({ beats: 4, unit: 4 }, last - first + 1), plucks },
      ...{ sweeps: own(passage.sweeps), chords: own(passage.chords), damps: own(passage.damps) },
      ...{ rehearsals: own(passage.rehearsals), words: own(passage.words), keys: own(passage.keys) },
      rolls: passage.rolls.filter((roll) => roll.plucks.every((id) => ids.has(id))),
      slides: own(passage.slides).filter(({ pluck }) => ids.has(pluck)),
      hairpins: (passage.hairpins ?? [])
        .filter((pin) => pin.from >= from && pin.to <= to)
        .map((pin) => ({ ...pin, from: ticks(pin.from - from), to: ticks(pin.to - from) })),
    },
  };
}

const CASES: Readonly<Record<string, { bars: readonly [number, number]; options: MusicXmlOptions }>> = {
  'hand to hand under one beam': { bars: [0, 0], options: PAGE_MUSIC },
  'hand to hand, each hand its own voice': { bars: [0, 0], options: {} },
  '8va over ringing notes, hairpin': { bars: [1, 1], options: PAGE_MUSIC },
  'both hands high: a change of clef': { bars: [1, 3], options: PAGE_MUSIC },
  'unrolled chords, a slide, a harmonic': { bars: [3, 4], options: PAGE_MUSIC },
  'rests gathered, changes in two lines': {
    bars: [3, 8],
    options: { ...PAGE_MUSIC, multiRests: true, pedals: 'two-lines' },
  },
  'a roll over both staves, étouffés, homophones': { bars: [8, 8], options: PAGE_MUSIC },
  'a triplet and a new key': { bars: [8, 9], options: PAGE_MUSIC },
  'glissandi over both staves': { bars: [10, 10], options: PAGE_MUSIC },
  'glissandi, the first octave written out': {
    bars: [10, 10],
    options: { ...PAGE_MUSIC, glissandoStart: true },
  },
  'a diagram at each change': { bars: [7, 10], options: { ...PAGE_MUSIC, pedals: 'diagrams' } },
  'settings as words, changes between the staves, fingers': {
    bars: [7, 9],
    options: { asWords: true, pedalsBetween: true },
  },
};

type Sign = readonly [name: string, x: number, y: number];

const round = (n: string | undefined): number => Math.round(Number(n) / 10) * 10;

/** Signs, words, beams and diagrams of a page with their places, in reading order of the drawing. */
function signsOf(svg: string): Sign[] {
  const out: Sign[] = [];
  const walk = (e: Element): void => {
    const classes = String(e.attributes['class'] ?? '');
    const at = /^translate\((-?[\d.]+), (-?[\d.]+)\)/.exec(String(e.attributes['transform'] ?? ''));
    // A wavy line is many pieces: its turned group stands for them.
    if (classes === 'gliss glissando') {
      const turned = /^rotate\((\S+) (\S+),(\S+)\)/.exec(String(e.attributes['transform'] ?? ''));
      out.push([`gliss ${elementsOf(e).length}`, round(turned?.[2]), round(turned?.[3])]);
      return;
    }
    if (classes === 'pedal-diagram') {
      out.push([String(e.attributes['aria-label']), round(at?.[1]), round(at?.[2])]);
      return;
    }
    if (e.name === 'use')
      out.push([String(e.attributes['href']).slice(1, 5), round(at?.[1]), round(at?.[2])]);
    if (e.name === 'text') {
      const value = textIn(e).trim().replaceAll(/\s+/g, ' ');
      out.push([value, round(String(e.attributes['x'])), round(String(e.attributes['y']))]);
      return;
    }
    if (e.name === 'polygon' || classes === 'let-ring') {
      const [, x, y] =
        /(-?[\d.]+)[, ](-?[\d.]+)/.exec(String(e.attributes['points'] ?? e.attributes['d'])) ?? [];
      out.push([classes === '' ? 'beam' : classes, round(x), round(y)]);
    }
    if (e.name !== 'defs') elementsOf(e).forEach(walk);
  };
  const root = readXml(svg);
  if (root !== null) walk(root);
  return out;
}

describe('golden pages', () => {
  let engrave: Engraver;
  const golden = (): Record<string, Sign[]> =>
    JSON.parse(readFileSync(FILE, 'utf8')) as Record<string, Sign[]>;
  const page = (name: string): Sign[] => {
    const { bars, options } = CASES[name] as (typeof CASES)[string];
    const answer = engrave(writeMusicXml(slice(...bars), options), { width: 760, scale: 40 });
    if (!answer.ok) throw new Error('refused');
    return answer.value.systems.flatMap(({ svg }) => signsOf(svg));
  };
  beforeAll(async () => {
    engrave = await loadEngraver();
    if (process.env['GOLDEN'] !== 'write') return;
    const lines = Object.keys(CASES).map((name) => `${JSON.stringify(name)}: ${JSON.stringify(page(name))}`);
    writeFileSync(FILE, `{\n${lines.join(',\n')}\n}\n`);
  }, 60_000);

  it('are twelve, none of them bare', () => {
    expect(Object.keys(golden())).toEqual(Object.keys(CASES));
    expect(Object.keys(CASES)).toHaveLength(12);
    for (const signs of Object.values(golden())) expect(signs.length).toBeGreaterThan(15);
  });

  it.each(Object.keys(CASES))('%s', (name) => {
    const [was, is] = [golden()[name] ?? [], page(name)];
    expect(is.map(([sign]) => sign)).toEqual(was.map(([sign]) => sign));
    const moved = is.filter(([, x, y], i) => {
      const [, x0, y0] = was[i] as Sign;
      return Math.abs(x - x0) > TOLERANCE || Math.abs(y - y0) > TOLERANCE;
    });
    expect(moved).toEqual([]);
  });
});
