// The printed part: turns where a hand is free, headings, the practice sheet, and what the engraver leaves out.
import { mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { run } from '../../src/cli/async-main';
import { PAGE_MUSIC } from '../../src/engraving/defaults';
import { type Engraver, loadEngraver } from '../../src/engraving/engraver';
import { disclessTuning } from '../../src/engraving/heading';
import { TURN_SECONDS, chooseTurn, turnWords, turns } from '../../src/engraving/page-turns';
import { practiceSheet } from '../../src/engraving/practice-sheet';
import { type Printer, loadPrinter } from '../../src/engraving/printable';
import { readXml } from '../../src/engraving/xml-tree';
import type { PlannedPassage } from '../../src/harp/planned';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { makeBars } from '../../src/music/metre';
import { richPassage } from '../interchange/rich-passage';

const BAR = 13_440;

/** Bars 1 and 3 of the rich passage, in turn, so often; the left hand rests in the bars named. */
function long(bars: number, leftRests: readonly number[]): PlannedPassage {
  const { passage, ...plan } = richPassage();
  const plucks = Array.from({ length: bars }, (_, bar) =>
    passage.plucks
      .filter((p) => p.onset < BAR && (p.hand === 'R' || !leftRests.includes(bar)))
      .map((p) => ({ ...p, id: `${p.id}.${bar}`, onset: ticks(p.onset + bar * BAR) })),
  ).flat();
  return {
    ...plan,
    passage: {
      ...{
        ...passage,
        bars: makeBars({ beats: 4, unit: 4 }, bars),
        plucks,
        rolls: [],
        sweeps: [],
        damps: [],
      },
      ...{ keys: [], slides: [], hairpins: [], rehearsals: [], words: [], chords: [] },
    },
  };
}

describe('page turns', () => {
  const { passage } = long(30, [11, 12]);
  const all = turns(passage);

  it('tell for each bar line how long the freer hand is free', () => {
    expect(all).toHaveLength(29);
    // The right hand plays beats 2 and 3: from the end of beat 3 to beat 2 of the next bar are two beats at 72.
    expect(all[4]).toEqual({ bar: 5, hand: 'R', seconds: expect.closeTo((2 * 60) / 72, 6) as number });
    // The left hand has nothing from the end of bar 11 to bar 14.
    expect(all[11]).toEqual({ bar: 12, hand: 'L', seconds: expect.closeTo((8 * 60) / 72, 6) as number });
  });

  it('come where a hand is free for two seconds, within the second half of the page', () => {
    expect(TURN_SECONDS).toBe(2);
    const anywhere = () => true;
    expect(chooseTurn(all, 0, 16, anywhere)?.bar).toBe(13);
    expect(chooseTurn(all, 0, 12, anywhere)?.bar).toBe(12);
    // Nowhere free for long: the last bar line of the freest.
    expect(chooseTurn(all, 14, 24, anywhere)?.bar).toBe(24);
    expect(chooseTurn(all, 0, 16, (bar) => bar !== 13)?.bar).toBe(12);
    // Rather a page that is less than half full than a turn that cannot be made.
    expect(chooseTurn(all, 0, 29, anywhere)?.bar).toBe(13);
    expect(chooseTurn(all, 13, 28, anywhere)?.seconds).toBeLessThan(2);
  });

  it('are told with what they ask', () => {
    const words = (seconds: number) => turnWords({ bar: 1, seconds, hand: 'L' }, '22');
    expect(words(2.5)).toBe('Turn before bar 22: the left hand is free for 2.5 s.');
    expect(words(0.67)).toContain(
      'no hand is free for 2 s in the last two thirds of the page; here the left hand is',
    );
    expect(words(0)).toContain('someone else has to turn');
  });
});

describe('the heading', () => {
  it('names strings without discs that are used, with their tuning', () => {
    expect(disclessTuning(richPassage())).toBe('C1 as C♭');
    expect(disclessTuning({ ...richPassage(), tuning: { 1: 0, 0: 1 } })).toBe('C1 as C♯, D1 as D♮');
    expect(disclessTuning({ ...richPassage(), tuning: {} })).toBeNull();
  });
});

describe('the practice sheet', () => {
  it('shows every bar with its setting and every move in its lane', () => {
    const [first, ...more] = practiceSheet(richPassage());
    expect(more).toEqual([]);
    expect(readXml(first ?? '')?.name).toBe('svg');
    for (const { number } of richPassage().passage.bars) expect(first).toContain(`>${number}</text>`);
    // What stands at each bar line: three bars of the beginning's, B flat from bar 5, E flat and A sharp at the end.
    const shown = (setting: string) => (first ?? '').split(`>${setting}</text>`).length - 1;
    expect(shown('D C B | E F G A')).toBe(4);
    expect(shown('D C B♭ | E F G A')).toBe(5);
    expect(shown('D C B | E♭ F G A♯')).toBe(2);
    for (const name of ['B♭', 'E♭', 'A♯', 'B♮']) expect(first).toContain(`font-weight="bold">${name}</text>`);
    expect(practiceSheet(long(60, []))).toHaveLength(3);
  });
});

describe('printed', () => {
  let print: Printer;
  let engrave: Engraver;
  beforeAll(async () => {
    [print, engrave] = await Promise.all([loadPrinter(), loadEngraver()]);
  }, 60_000);

  it('pages have their heading, bars, turns and numbers, and need no style sheet', () => {
    const planned = long(30, [11, 12]);
    const answer = print(planned);
    if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
    const { pages, turns: taken, font } = answer.value;
    expect(pages.length).toBeGreaterThanOrEqual(2);
    expect(taken).toHaveLength(pages.length - 1);
    expect(taken[0]?.seconds).toBeGreaterThanOrEqual(2);
    expect([12, 13]).toContain(taken[0]?.bar);
    for (const word of [
      'Lamplight on the Quay',
      'A. Nonesuch',
      'Concert harp, 47 strings',
      'Tune by hand: C1 as C♭',
    ])
      expect(pages[0]).toContain(word);
    pages.forEach((page, i) => {
      expect(page).toContain(`${i + 1}/${pages.length}`);
      expect(page).not.toContain('<style');
      expect(/<path(?![^>]*(stroke|d="M[\d.]+ [\d.]+h))/.test(page)).toBe(false);
    });
    const bars = pages.map((page) => page.match(/class="measure"/g)?.length ?? 0);
    expect(bars.reduce((a, b) => a + b, 0)).toBe(30);
    // The setting of what follows is shown before the turn: on each page but the last one diagram more.
    expect(pages[0]?.match(/class="pedal-diagram"/g)).toHaveLength(3);
    expect(pages.slice(1).every((page) => !page.includes('class="meterSig"'))).toBe(true);
    expect(font).toMatch(/^d09GMg/);
  });

  it('keeps every note once, at any paper and with the font carried along', () => {
    const answer = print(richPassage(), { paper: 'letter', carryFont: true });
    if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
    const text = answer.value.pages.join('');
    for (const { id } of richPassage().passage.plucks)
      expect(text.split(`id="${id}" class="note"`)).toHaveLength(2);
    expect(text).toContain('width="215.9mm" height="279.4mm"');
    expect(text).toContain('@font-face');
  });

  it('draws what the engraver drops: open ties, gliss., damping, gathered rests in both staves, lines of pedals', () => {
    const music = { ...PAGE_MUSIC, pedals: 'two-lines' as const, multiRests: true };
    const answer = engrave(writeMusicXml(richPassage(), music), { width: 1100, scale: 44 });
    if (!answer.ok) throw new Error('refused');
    const svg = answer.value.systems.map((system) => system.svg).join('');
    expect(svg.match(/class="let-ring"/g)).toHaveLength(4);
    expect(svg.match(/>gliss\.<\/text>/g)).toHaveLength(2);
    // All strings once; some strings once, and two notes that are étouffés.
    expect(svg.match(/class="damp-sign E639"/g)).toHaveLength(1);
    expect(svg.match(/class="damp-sign E638"/g)).toHaveLength(3);
    expect(svg).not.toMatch(/[\ue638\ue639]/);
    expect(svg.match(/class="multiRest"/g)).toHaveLength(2);
    expect(svg.match(/class="E68[0-3]"/g)).toHaveLength(4 * 8);
    const lines = [
      ...svg.matchAll(/pedal-line" transform="translate\(-?\d+, (-?[\d.]+)\)">\s*<text x="\d+" y="(\d+)"/g),
    ];
    expect(lines).toHaveLength(4);
    // The words of one system stand on one line: two systems at most, so two heights at most.
    expect(new Set(lines.map(([, drop, y]) => Number(drop) + Number(y))).size).toBeLessThanOrEqual(2);
  });

  it('answers the same page at once, and another width from what is loaded, as a new engraver would', async () => {
    const xml = writeMusicXml(richPassage(), PAGE_MUSIC);
    const fresh = await loadEngraver();
    const narrow = { width: 500, scale: 40 };
    engrave(xml, { width: 900, scale: 40 });
    const again = engrave(xml, narrow);
    expect(engrave(xml, narrow)).toEqual(again);
    const other = fresh(xml, narrow);
    const systems = (answer: typeof again) => (answer.ok ? answer.value.systems.length : -1);
    expect(systems(again)).toBe(systems(other));
  });

  it('is written by the terminal, with its practice sheet', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'harp-page-'));
    try {
      const file = join(folder, 'part.musicxml');
      writeFileSync(file, writeMusicXml(richPassage()));
      let [out, err] = ['', ''];
      const terminal = { out: (t: string) => (out += t), err: (t: string) => (err += t) };
      const pages = join(folder, 'pages');
      expect(await run(['page', file, '--out', pages, '--json'], terminal)).toBeLessThan(2);
      const answer = JSON.parse(out) as { pages: string[]; practice: string[] };
      expect(readdirSync(pages).sort()).toEqual([...answer.pages, ...answer.practice].sort());
      expect(readFileSync(join(pages, 'page-1.svg'), 'utf8')).toContain('Lamplight on the Quay');
      expect(await run(['page', file], terminal)).toBe(2);
      expect(await run(['page', file, '--out', pages, '--pedals', 'blue'], terminal)).toBe(2);
      expect(err).toContain('--pedals is one of none, settings');
    } finally {
      rmSync(folder, { recursive: true });
    }
  });
});
