/** Drafts cut at the bar lines and joined anew: each bar from a draft of its own. */

import type { Dynamic, Passage, Pluck, Roll, Sweep, Tremble } from '../music/passage';

/** What begins in one bar. Figures keep inside their bars, so nothing is cut through. */
export interface BarSlice {
  readonly plucks: readonly Pluck[];
  readonly rolls: readonly Roll[];
  readonly sweeps: readonly Sweep[];
  readonly trembles: readonly Tremble[];
}

/** The bars of a passage whose bars are all of one length. */
export function cutBars(passage: Passage): BarSlice[] {
  const length = passage.bars[0]?.length ?? 1;
  const out = passage.bars.map(() => ({
    plucks: [] as Pluck[],
    rolls: [] as Roll[],
    sweeps: [] as Sweep[],
    trembles: [] as Tremble[],
  }));
  const barOf = (onset: number): (typeof out)[number] | undefined => out[Math.floor(onset / length)];
  const barOfPluck = new Map<string, number>();
  for (const p of passage.plucks) {
    barOfPluck.set(p.id, p.onset);
    barOf(p.onset)?.plucks.push(p);
  }
  for (const r of passage.rolls) barOf(barOfPluck.get(r.plucks[0] ?? '') ?? 0)?.rolls.push(r);
  for (const s of passage.sweeps) barOf(s.onset)?.sweeps.push(s);
  for (const t of passage.trembles) barOf(t.onset)?.trembles.push(t);
  return out;
}

/**
 * One passage of these bars in order, at one dynamic, numbered as drafts are: p0…, r0…, g0…, b0…. Everything else
 * (title, bars, tempo, chords, silences, words) is taken from `frame`, a draft on the same progression.
 */
export function joinBars(frame: Passage, slices: readonly BarSlice[], dynamic: Dynamic): Passage {
  const plucks: Pluck[] = [];
  const rolls: Roll[] = [];
  const sweeps: Sweep[] = [];
  const trembles: Tremble[] = [];
  for (const slice of slices) {
    const renamed = new Map<string, string>();
    for (const p of slice.plucks) {
      const id = `p${plucks.length}`;
      renamed.set(p.id, id);
      plucks.push({ ...p, id, dynamic });
    }
    for (const r of slice.rolls) {
      const ids = r.plucks.map((id) => renamed.get(id) ?? id);
      rolls.push({ ...r, id: `r${rolls.length}`, plucks: ids });
    }
    for (const s of slice.sweeps) sweeps.push({ ...s, id: `g${sweeps.length}`, dynamic });
    for (const t of slice.trembles) {
      const id = `b${trembles.length}`;
      const notes = t.notes.map((n, i) => ({ ...n, id: `${id}n${i}` }));
      trembles.push({ ...t, id, notes, dynamic });
    }
  }
  const { hairpins: _, ...rest } = frame;
  return { ...rest, plucks, rolls, sweeps, trembles };
}

/** The dynamic of the first thing that sounds in these bars; mezzo forte where nothing does. */
export function firstDynamic(slices: readonly BarSlice[]): Dynamic {
  for (const s of slices) {
    const first = s.plucks[0] ?? s.sweeps[0] ?? s.trembles[0];
    if (first !== undefined) return first.dynamic;
  }
  return 'mf';
}
