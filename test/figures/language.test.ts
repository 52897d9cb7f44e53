// The figure language: what it reads, what it refuses and where.
import { readFileSync, readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { GIVEN_MELODY } from '../../src/figures/melody-family';
import { FAMILIES } from '../../src/figures/families';
import { fillSteps } from '../../src/figures/phrase';
import { deal, readCell, readRhythm } from '../../src/figures/cells';
import { readFigure } from '../../src/figures/language';

const folder = new URL('../../presets/figures/', import.meta.url);
const files = readdirSync(folder).filter((name) => name.endsWith('.json'));
const load = (name: string): unknown => JSON.parse(readFileSync(new URL(name, folder), 'utf8'));

describe('cells', () => {
  it('reads shifts along the chord and notes of long lines', () => {
    expect(readCell('[L1 R*+1] R12-2')).toEqual([
      {
        notes: [
          { hand: 'L', index: 1, shift: 0 },
          { hand: 'R', index: 'all', shift: 1 },
        ],
        roll: null,
        once: false,
      },
      { notes: [{ hand: 'R', index: 12, shift: -2 }], roll: null, once: false },
    ]);
  });

  it('deals strokes on a rhythm, with its rests and holds', () => {
    const strokes = readCell('L1 R*') ?? [];
    expect(deal(strokes, readRhythm('2 .1 1 1') ?? [])).toEqual([...(readCell('L1 - . R* L1') ?? [])]);
    expect(readRhythm('2 x')).toBeNull();
    expect(readRhythm('0 1')).toBeNull();
  });

  it('reads notes, hands, tops, rolls, rests, holds and once', () => {
    expect(readCell('L1 R* R^ ~[L* R2] . - =R* \\R* L2!')).toEqual([
      { notes: [{ hand: 'L', index: 1, shift: 0 }], roll: null, once: false },
      { notes: [{ hand: 'R', index: 'all', shift: 0 }], roll: null, once: false },
      { notes: [{ hand: 'R', index: 'top', shift: 0 }], roll: null, once: false },
      {
        notes: [
          { hand: 'L', index: 'all', shift: 0 },
          { hand: 'R', index: 2, shift: 0 },
        ],
        roll: 'up',
        once: false,
      },
      'rest',
      'hold',
      { notes: [{ hand: 'R', index: 'all', shift: 0 }], roll: 'none', once: false },
      { notes: [{ hand: 'R', index: 'all', shift: 0 }], roll: 'down', once: false },
      { notes: [{ hand: 'L', index: 2, shift: 0 }], roll: null, once: true },
    ]);
  });

  it.each(['', 'X1', 'L', 'L100', 'L0', 'R1+', 'R*+0', '[L1', 'L1 ] R1', '~', '[L1  R1]', '[.]', 'l1'])(
    'refuses %j',
    (text) => {
      expect(readCell(text)).toBeNull();
    },
  );

  it('fills any number of steps exactly, with whole cells where they fit', () => {
    const cells = ['L1 R1 R2 R3 R2 R1 R2 R3', 'L1 R1 R2 R3', 'L1 R1 R2', 'L1 R1'].map(
      (c) => readCell(c) ?? [],
    );
    for (let steps = 1; steps <= 64; steps++) {
      const filled = fillSteps(cells, steps);
      expect(filled.reduce((n, f) => n + f.cell.length, 0)).toBe(steps);
      expect(filled.map((f) => f.first)).toEqual(filled.map((_, i) => i === 0));
      if (steps > 1) expect(filled.every((f) => cells.some((c) => c.length === f.cell.length))).toBe(true);
    }
    expect(fillSteps(cells, 12).map((f) => f.cell.length)).toEqual([4, 4, 4]);
    expect(fillSteps(cells, 5).map((f) => f.cell.length)).toEqual([3, 2]);
    expect(fillSteps(cells, 10).map((f) => f.cell.length)).toEqual([8, 2]);
  });
});

describe('figures', () => {
  it('keep the beat: over whole beats no preset falls into a cross-rhythm by accident', () => {
    let filled = 0;
    for (const name of files) {
      const figure = readFigure(load(name));
      if (!figure.ok) continue;
      for (const variant of figure.value.variants)
        for (const layer of variant.layers.filter((l) => l.every === 'step'))
          for (const cells of layer.play)
            for (const beatSteps of variant.perBeat.filter((n) => n >= 2))
              for (const beats of [2, 3, 4, 5]) {
                let at = 0;
                for (const { cell } of fillSteps(cells, beats * beatSteps, beatSteps)) {
                  // Starts on a beat, or divides one evenly.
                  const n = cell.length;
                  expect(
                    at % beatSteps === 0 || beatSteps % n === 0,
                    `${name} ${variant.name} ${beatSteps} a beat, ${n} steps at ${at}`,
                  ).toBe(true);
                  at += n;
                  filled++;
                }
                expect(at).toBe(beats * beatSteps);
              }
    }
    expect(filled).toBeGreaterThan(1000);
  });

  it('reads every preset, and each is a family', () => {
    expect(files.length).toBeGreaterThanOrEqual(14);
    for (const name of files) {
      const figure = readFigure(load(name));
      expect(figure.ok, name).toBe(true);
      if (!figure.ok) continue;
      expect(`${figure.value.id}.json`).toBe(name);
      // The accompaniments of a melody are a family only together with one.
      expect([...FAMILIES.map((f) => f.id), GIVEN_MELODY]).toContain(figure.value.id);
      for (const variant of figure.value.variants) {
        for (const layer of variant.layers)
          if (layer.every === 'step') for (const cells of layer.play) expect(cells.length).toBeGreaterThan(0);
        expect(
          variant.ending.some((e) => e.length === 1),
          `${name} ${variant.name}`,
        ).toBe(true);
      }
    }
  });

  it('has at least fourteen families with ids of their own', () => {
    expect(FAMILIES.length).toBeGreaterThanOrEqual(14);
    expect(new Set(FAMILIES.map((f) => f.id)).size).toBe(FAMILIES.length);
  });

  it('answers a mistake with its place', () => {
    const good = load('wave.json') as {
      variants: { layers: { play: string[][] }[]; right: { form: string } }[];
    };
    const bad = structuredClone(good);
    (bad.variants[1] as (typeof bad.variants)[0]).right.form = 'wide';
    ((bad.variants[0] as (typeof bad.variants)[0]).layers[0] as { play: string[][] }).play[1] = ['L1 Q2'];
    const read = readFigure(bad);
    expect(read.ok).toBe(false);
    if (read.ok) return;
    expect(read.problems.map((p) => p.value)).toEqual([
      'variants.0.layers.0.play.1.0',
      'variants.1.right.form',
    ]);
    expect(read.problems[0]?.limit).toContain('steps such as');
    expect(readFigure(null).ok).toBe(false);
    expect(readFigure({ ...good, extra: 1 }).ok).toBe(false);
  });
});
