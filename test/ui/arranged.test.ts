// A piano part arranged for the page: chords set right, bars in another figure, what cannot be done said.
import { describe, expect, it } from 'vitest';
import { fixAt } from '../../src/app/note-fixes';
import { harpSpellings, midiOf } from '../../src/music/pitch';
import { requestOf, DEFAULT_WORK } from '../../src/app/work';
import { propose } from '../../src/proposals/propose';
import { arrange, correctedChords } from '../../src/worker/part-arranged';

const [proposal] = propose({
  ...requestOf(DEFAULT_WORK.input),
  families: ['rolled-chords'],
  count: 1,
}).proposals;
if (proposal === undefined) throw new Error('no part to arrange');
const { chords: _, ...bare } = proposal.planned.passage;
const passage = { ...bare, chords: [] };
const plain = { passage, difficulty: 'idiomatic', refused: [], corrected: {}, retextures: [] } as const;

describe('an arrangement', () => {
  it('goes by the chords that the user set right, and by no word that is none', () => {
    const heard = correctedChords(passage, {});
    const at = String(heard[0]?.onset);
    expect(correctedChords(passage, { [at]: 'Abmaj7' })[0]?.text).toBe('Abmaj7');
    expect(correctedChords(passage, { [at]: 'eggs' })).toEqual(heard);
    expect(arrange({ ...plain, corrected: { [at]: 'Abmaj7' } })?.chords[0]?.text).toBe('Abmaj7');
  });

  it('puts bars in another figure, playable as a whole, the others as they were', () => {
    const before = arrange(plain);
    const after = arrange({ ...plain, retextures: [{ from: 1, to: 1, family: 'wave', seed: '1' }] });
    if (before === null || after === null) throw new Error('nothing arranged');
    expect(after.refusals).toEqual([]);
    const [start, end] = [1, 2].map((i) => passage.bars[i]?.start ?? 0) as [number, number];
    const inside = (p: { readonly onset: number }): boolean => p.onset >= start && p.onset < end;
    const { plucks } = after.planned.passage;
    expect(plucks.some((p) => inside(p) && p.id.startsWith('r1.'))).toBe(true);
    expect(plucks.filter((p) => !inside(p)).map((p) => p.id)).toEqual(
      before.planned.passage.plucks.filter((p) => !inside(p)).map((p) => p.id),
    );
    expect(after.problems.filter((p) => p.severity === 'error')).toEqual([]);
  });

  it('says which figure could not be drawn', () => {
    const asked = { from: 90, to: 91, family: 'wave', seed: '1' };
    expect(arrange({ ...plain, retextures: [asked] })?.refusals.map((r) => r.at)).toEqual([asked]);
  });

  it('spells a note as the user fixed it, the pedals planned around it', () => {
    const before = arrange(plain);
    if (before === null) throw new Error('nothing arranged');
    const { bars, plucks } = before.planned.passage;
    const tried = plucks.slice(0, 8).flatMap((p) => {
      const other = harpSpellings(midiOf(p.pitch)).find((q) => q.letter !== p.pitch.letter);
      const fix = other === undefined ? null : fixAt(bars, p.onset, other);
      return fix === null ? [] : [{ p, fix, after: arrange({ ...plain, fixes: [fix] }) }];
    });
    expect(tried.length).toBeGreaterThan(2);
    let had = 0;
    for (const { p, fix, after } of tried) {
      if (after === null) throw new Error('nothing arranged');
      const there = after.planned.passage.plucks.filter(
        (q) => q.onset === p.onset && midiOf(q.pitch) === midiOf(p.pitch),
      );
      // As asked and playable; or refused with its reason, and all as it was.
      if (after.fixRefused === null) {
        had++;
        expect(there.map((q) => q.pitch.letter)).toContain(fix.letter);
        expect(after.problems.filter((q) => q.severity === 'error')).toEqual([]);
      } else expect(after.planned.passage.plucks).toEqual(plucks);
    }
    expect(had).toBeGreaterThan(0);
  });
});
