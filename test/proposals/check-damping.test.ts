// Damping where the harmony changes under ringing low strings (UBC; Rimsky-Korsakov), on changes worked out by hand.
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import type { HarmonyMark } from '../../src/music/passage';
import { sentence } from '../../src/playability/sentences';
import { checkPart } from '../../src/proposals/check';
import { type Extra, type Note, planned } from '../playability/build';

const NONE = { settings: [], moves: [] };
const symbol = (at: number, text: string): HarmonyMark => ({
  ...{ onset: ticks(at * 3360), text, root: null, bass: null, kind: 'major', degrees: [] },
});
const says = (notes: readonly Note[], extra: Extra = {}, chords: readonly HarmonyMark[] = []): string[] => {
  const passage = { ...planned(notes, extra).passage, chords };
  return checkPart({ passage, markings: NONE })
    .problems.filter((p) => p.code === 'damping')
    .map((p) => sentence(p, passage.bars));
};
// F minor over a low A♭, then E♭ major in the right hand alone, which has G.
const change = (gap: number): Note[] => [
  { at: 0, names: 'Ab2', hand: 'L' },
  { at: 0, names: 'F4 Ab4 C5', hand: 'R' },
  { at: gap, names: 'Eb4 G4 Bb4', hand: 'R' },
  { at: gap + 1, names: 'Eb4 G4 Bb4', hand: 'R' },
];
const WANTED = 'mark where it is to be damped, or let it blur on purpose.';

describe('a low string that rings into another harmony', () => {
  it('is to be damped where it is none of its tones and rubs one of them', () => {
    expect(says(change(1), { metre: { beats: 1, unit: 4 } })).toEqual([
      `Bar 2, beat 1: the low A♭2 still rings (1 s after it) into a harmony that it does not belong to (E♭); ${WANTED}`,
    ]);
    expect(says(change(1), {}, [symbol(0, 'Fm'), symbol(1, 'Eb')])).toEqual([
      `Bar 1, beat 2: the low A♭2 still rings (1 s after it) into a harmony that it does not belong to (Eb); ${WANTED}`,
    ]);
  });
  it('is not, once it has died away, or is damped, or belongs to both', () => {
    const marks = (at: number) => [symbol(0, 'Fm'), symbol(at, 'Eb')];
    expect(says(change(2.5), {}, marks(2.5))).toEqual([]);
    expect(says(change(1), { damps: [{ at: 1, below: 14 }] }, marks(1))).toEqual([]);
    const common = change(1).map((n) => ({ ...n, names: n.names.replace('Ab2', 'Eb2') }));
    expect(says(common, {}, marks(1))).toEqual([]);
  });
  it('is said once where the bass moves as well', () => {
    const moved = [...change(1), { at: 1, names: 'G2', hand: 'L' as const }];
    expect(says(moved, {}, [symbol(0, 'Fm'), symbol(1, 'Eb')])).toEqual([
      'Bar 1, beat 2: G2 is plucked while the low A♭2 still rings (1 s after it); mark where the bass is to be damped, or let it blur on purpose.',
    ]);
  });
});
