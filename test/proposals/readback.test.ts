// The main job, end to end: shared progressions, all families, written to MusicXML, read back by the reader
// (which shares nothing with the writer but the types), and held against every rule by the marks in the file.
import { describe, expect, it } from 'vitest';
import { FAMILIES } from '../../src/figures/families';
import { readMusicXml } from '../../src/interchange/musicxml-read';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { pitchName } from '../../src/music/pitch';
import { checkPart } from '../../src/proposals/check';
import { MIXED } from '../../src/proposals/joint-attempt';
import { propose } from '../../src/proposals/propose';
import { hasData, needsData, sharedProgressions } from '../shared/data';

describe.skipIf(!hasData)(`40 progressions × 24 proposals${needsData}`, () => {
  const all = hasData ? sharedProgressions() : [];
  // Every metre that occurs, then an even sample of the rest.
  const rare = all.filter((p) => `${p.metre.beats}/${p.metre.unit}` !== '4/4').slice(0, 14);
  const common = all.filter((p) => !rare.includes(p));
  const sample = [
    ...rare,
    ...common.filter((_, i) => i % Math.floor(common.length / (40 - rare.length)) === 0),
  ].slice(0, 40);

  it('pass every rule when read back from their files', () => {
    const faults: string[] = [];
    const families = new Set<string>();
    let parts = 0;
    sample.forEach((line, i) => {
      const answer = propose({
        text: line.text,
        metre: line.metre,
        milliBpm: [60_000, 84_000, 108_000][i % 3] as number,
        seed: String(i),
        count: 24,
        families: [],
        start: null,
        aim: 'practical',
        key: null,
        title: line.id,
      });
      if (answer.proposals.length !== 24) faults.push(`${line.id}: ${answer.proposals.length} proposals`);
      for (const p of answer.proposals) {
        parts++;
        families.add(p.family);
        const bare = p.planned.passage.plucks.filter((n) => n.hand === null || n.finger === null);
        if (bare.length > 0) faults.push(`${line.id} ${p.id}: ${bare[0]?.id} has no hand or finger`);
        const read = readMusicXml(writeMusicXml(p.planned));
        if (!read.ok) {
          faults.push(`${line.id} ${p.id}: cannot be read back: ${read.problems[0]?.code}`);
          continue;
        }
        const report = checkPart(read.value);
        for (const e of report.problems.filter((x) => x.severity === 'error')) {
          faults.push(`${line.id} ${p.id}: ${e.code} ${JSON.stringify(e.where)} ${e.value} > ${e.limit}`);
        }
        const notes = (passage: typeof p.planned.passage) =>
          passage.plucks
            .map((n) => `${n.onset} ${pitchName(n.pitch)} ${n.hand} ${n.technique}`)
            .sort()
            .join('; ');
        if (notes(read.value.passage) !== notes(p.planned.passage))
          faults.push(`${line.id} ${p.id}: other notes`);
        const moves = (plan: typeof p.planned) =>
          plan.moves
            .map((m) => `${m.onset} ${m.letter} ${m.to}`)
            .sort()
            .join('; ');
        if (moves(report.planned) !== moves(p.planned)) faults.push(`${line.id} ${p.id}: other moves`);
      }
    });
    expect(faults.slice(0, 20)).toEqual([]);
    expect(sample).toHaveLength(40);
    expect(parts).toBe(40 * 24);
    // Each list holds 24 of more families than that; over forty lists nearly every one comes up.
    const missing = [...FAMILIES.map((f) => f.id), MIXED.id].filter((id) => !families.has(id));
    expect(missing.length).toBeLessThanOrEqual(1);
  }, 240_000);
});
