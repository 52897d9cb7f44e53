// Faults of many kinds, planted by chance into generated and published parts: mending leaves no error, changes nothing
// elsewhere, keeps line and bass where the fault allows, and can be undone.
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { type Ticks, ticks } from '../../src/base/units';
import { readPart } from '../../src/interchange/read-part';
import { barAt } from '../../src/music/metre';
import { type Pluck } from '../../src/music/passage';
import { midiOf } from '../../src/music/pitch';
import { type PartToCheck, checkPart } from '../../src/proposals/check';
import { applyRepairs, mendPart } from '../../src/proposals/mend/mend';
import { propose } from '../../src/proposals/propose';
import { type Ground, PLANTS } from '../cases/plants';
import { DATA, dataBytes, dataFiles, hasData, needsData } from '../shared/data';

const CASES = 200;
const TEXTS = ['Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9', 'Cmaj7 | A7b9 | Dm9 | G13', 'F#m7 | B7 | Emaj7 | C#m7b5'];

const errorsOf = (part: PartToCheck) => checkPart(part).problems.filter((p) => p.severity === 'error');

function grounds(): Ground[] {
  const own = TEXTS.flatMap((text, i) =>
    propose({
      ...{ text, metre: { beats: 4, unit: 4 }, milliBpm: [66_000, 80_000, 96_000][i] as number },
      ...{ seed: String(i), count: 8, families: [], start: null, aim: 'practical', key: null, title: '' },
    }).proposals.flatMap(({ id, planned }): Ground[] => {
      const moves = planned.moves.map(({ onset, letter, to }) => ({ onset, letter, to }));
      const settings = [{ onset: ticks(0), setting: planned.start }];
      const { passage } = planned;
      const bare = { passage, markings: { settings: [], moves: [] } };
      const plain = { name: `${id} unmarked`, part: bare, planned: checkPart(bare).planned, marked: false };
      return [{ name: id, part: { passage, markings: { settings, moves } }, planned, marked: true }, plain];
    }),
  );
  if (!hasData || !existsSync(join(DATA, 'harp-parts'))) return own;
  const published = dataFiles('harp-parts').flatMap((name): Ground[] => {
    const read = name.endsWith('.musicxml') ? readPart(name, dataBytes('harp-parts', name)) : null;
    if (read?.ok !== true || read.value.passage.plucks.length > 250 || !read.value.handsGiven) return [];
    return [{ name, part: read.value, planned: checkPart(read.value).planned, marked: false }];
  });
  return [...own, ...published];
}

const noteName = (p: Pluck) => `${p.id} ${p.onset} ${midiOf(p.pitch)} ${p.hand} ${p.technique} ${p.dynamic}`;

describe(`mended faults${needsData}`, () => {
  const all = grounds().filter((g) => errorsOf(g.part).length === 0);
  const names = Object.keys(PLANTS);
  const random = seededRandom('mended');
  const cases: { readonly name: string; readonly part: PartToCheck; readonly onset: Ticks }[] = [];
  for (let tries = 0; cases.length < CASES && tries < 40 * CASES; tries++) {
    const name = names[tries % names.length] as string;
    const ground = random.pick(all);
    const planted = PLANTS[name]?.(ground, random) ?? null;
    if (planted === null || planted.severity !== 'error') continue;
    cases.push({ name: `${name}: ${ground.name}`, part: planted.part, onset: planted.onset });
  }
  const mended = cases.map((c) => ({ ...c, errors: errorsOf(c.part), answer: mendPart(c.part) }));

  it('are many, of many kinds', () => {
    expect(cases).toHaveLength(CASES);
    const kinds = new Set(cases.map((c) => c.name.split(':')[0]));
    expect(kinds.size).toBeGreaterThanOrEqual(10);
    expect(mended.filter((m) => m.errors.length === 0).map((m) => m.name)).toEqual([]);
  });

  it('leave no error', () => {
    const left = mended.filter((m) => m.answer.remaining.length > 0 || errorsOf(m.answer.part).length > 0);
    expect(left.map((m) => m.name)).toEqual([]);
  });

  it('have a repair for every error, the least loss first', () => {
    for (const { name, errors, answer } of mended) {
      const bare = errors.filter((e) => {
        const place = e.where;
        if (place.kind !== 'music') return true;
        return !answer.mendings.some((m) =>
          m.problems.some(
            (p) =>
              p.where.kind === 'music' &&
              (p.where.onset === place.onset || p.where.ids.some((id) => place.ids.includes(id))),
          ),
        );
      });
      expect([name, bare]).toEqual([name, []]);
      for (const m of answer.mendings) {
        const losses = m.repairs.map((r) => r.loss);
        expect(losses.length).toBeGreaterThan(0);
        expect(losses).toEqual([...losses].sort((a, b) => a - b));
      }
    }
  });

  it('leave every bar as it is that is not near the fault', () => {
    for (const { name, part, answer, onset } of mended) {
      const { bars } = part.passage;
      const near = (at: Ticks) => Math.abs(barAt(bars, at).index - barAt(bars, onset).index) <= 2;
      const far = (p: PartToCheck) =>
        p.passage.plucks
          .filter((n) => !near(n.onset))
          .map(noteName)
          .sort();
      expect([name, far(answer.part)]).toEqual([name, far(part)]);
      const { title, bars: kept, damps, chords, keys } = answer.part.passage;
      expect({ title, kept, damps, chords, keys }).toEqual({
        ...{ title: part.passage.title, kept: bars, damps: part.passage.damps },
        ...{ chords: part.passage.chords, keys: part.passage.keys },
      });
    }
  });

  it('hardly touch what no error names, and there neither line nor bass', () => {
    const touched: string[] = [];
    let [notes, outer, outerLost] = [0, 0, 0];
    for (const { name, part, errors, answer } of mended) {
      const named = new Set(errors.flatMap((e) => (e.where.kind === 'music' ? e.where.ids : [])));
      const after = new Map(answer.part.passage.plucks.map((p) => [p.id, p]));
      const sounds = new Set(answer.part.passage.plucks.map((p) => `${p.onset} ${midiOf(p.pitch)}`));
      const groups = new Map<Ticks, number[]>();
      for (const p of part.passage.plucks) {
        groups.set(p.onset, [...(groups.get(p.onset) ?? []), midiOf(p.pitch)]);
      }
      for (const p of part.passage.plucks) {
        notes++;
        const then = after.get(p.id);
        if (!named.has(p.id) && (then === undefined || noteName(then) !== noteName(p))) {
          touched.push(`${name} ${p.id}`);
        }
        const keys = groups.get(p.onset) as number[];
        // What was planted may be beyond the harp, or one finger too many.
        if (p.id.startsWith('planted') || named.has(p.id)) continue;
        if (midiOf(p.pitch) !== Math.max(...keys) && midiOf(p.pitch) !== Math.min(...keys)) continue;
        outer++;
        if (!sounds.has(`${p.onset} ${midiOf(p.pitch)}`)) outerLost++;
      }
    }
    expect(notes).toBeGreaterThan(5000);
    expect(touched.length / notes).toBeLessThan(0.001);
    expect([outer > 1000, outerLost]).toEqual([true, 0]);
  });

  it('are undone and made again one by one', () => {
    for (const { part, answer } of mended) {
      const { mendings, chosen } = answer;
      expect(applyRepairs(part, mendings, [])).toBe(part);
      const one = chosen.reduce((ids: string[], id) => [id, ...ids], []);
      expect(applyRepairs(part, mendings, one)).toEqual(applyRepairs(part, mendings, chosen));
      expect(applyRepairs(part, mendings, chosen).passage).toEqual(answer.part.passage);
    }
  });
});
