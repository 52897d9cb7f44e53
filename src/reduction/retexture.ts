/** Re-textures a stretch of bars: its chords are played by a figure family in place of its notes. */

import type { Random } from '../base/random';
import { type Result, fail, ok } from '../base/result';
import { ticks } from '../base/units';
import type { FigureFamily } from '../figures/types';
import { parseProgression } from '../harmony/progression';
import type { Instrument } from '../harp/instrument';
import { barTicks, beatTicks } from '../music/metre';
import type { HarmonyMark, Passage } from '../music/passage';
import { midiOf } from '../music/pitch';
import { DEFAULT_MILLI_BPM } from '../music/tempo';

export interface RetextureRequest {
  readonly passage: Passage;
  /** Index of the first bar, and of the bar after the last. */
  readonly from: number;
  readonly to: number;
  /** Recognized or corrected chords of the whole passage, by onset. */
  readonly chords: readonly HarmonyMark[];
  readonly family: FigureFamily;
  readonly instrument: Instrument;
  readonly random: Random;
}

/** The passage with bars `from` … `to` - 1 played by the family; fails where bars or chords do not allow it. */
export function retexture(request: RetextureRequest): Result<Passage> {
  const { passage, from, to, chords, family, instrument, random } = request;
  const bars = passage.bars.slice(from, to);
  const [first, last] = [bars[0], bars.at(-1)];
  const refuse = (value: string, limit: string): Result<Passage> =>
    fail({
      code: 'retexture',
      severity: 'error',
      where: { kind: 'music', onset: ticks(first?.start ?? 0), ids: [] },
      value,
      limit,
      source: 'common practice',
    });
  if (first === undefined || last === undefined)
    return refuse(`bars ${from} to ${to}`, 'bars of the passage');
  const full = barTicks(first.metre);
  const odd = bars.find(
    (b) => b.length !== full || b.metre.beats !== first.metre.beats || b.metre.unit !== first.metre.unit,
  );
  if (odd !== undefined) return refuse(`bar ${odd.number}`, 'whole bars of one metre');
  const beat = beatTicks(first.metre);
  // The music goes on: a figure that ends here would close, so it is drawn a bar further, and that bar left out.
  const next = passage.bars[to];
  const goesOn =
    next !== undefined && next.length === full && next.metre.beats === first.metre.beats ? [next] : [];
  let said = '';
  const text = [...bars, ...goesOn]
    .map((bar) =>
      Array.from({ length: Math.max(1, Math.floor(full / beat)) }, (_, i) => {
        const at = bar.start + i * beat;
        const chord =
          chords.filter((c) => c.onset < at + beat && c.onset <= at + (beat >> 1)).at(-1)?.text ?? 'N.C.';
        const word = i > 0 && chord === said ? '/' : chord;
        said = chord;
        return word;
      }).join(' '),
    )
    .join(' | ');
  const progression = parseProgression(text, { metre: first.metre, key: null });
  const milliBpm = passage.tempo.filter((t) => t.onset <= first.start).at(-1)?.milliBpm ?? DEFAULT_MILLI_BPM;
  const draft = family.draft({ progression, title: passage.title, milliBpm, instrument, random });
  if (!draft.ok) return draft;
  const end = last.start + last.length;
  const within = (x: { readonly onset: number }): boolean => x.onset < end - first.start;
  const whole = draft.value.passage;
  const plucked = whole.plucks.filter(within);
  const kept = new Set(plucked.map((p) => p.id));
  const drawn = {
    plucks: plucked,
    trembles: whole.trembles.filter(within),
    sweeps: whole.sweeps.filter(within),
    damps: whole.damps.filter(within),
    rolls: whole.rolls.filter((r) => r.plucks.every((id) => kept.has(id))),
  };
  const inside = (x: { readonly onset: number }): boolean => x.onset >= first.start && x.onset < end;
  const moved = <N extends { readonly id: string; readonly onset: number }>(x: N): N => ({
    ...x,
    id: `r${from}.${x.id}`,
    onset: ticks(x.onset + first.start),
  });
  const gone = new Set(passage.plucks.filter(inside).map((p) => p.id));
  const plucks = [...passage.plucks.filter((p) => !inside(p)), ...drawn.plucks.map(moved)];
  plucks.sort((a, b) => a.onset - b.onset || midiOf(a.pitch) - midiOf(b.pitch));
  const trembles = drawn.trembles.map((t) => ({
    ...moved(t),
    notes: t.notes.map((n) => ({ ...n, id: `r${from}.${n.id}` })),
  }));
  const byOnset = (a: { readonly onset: number }, b: { readonly onset: number }): number => a.onset - b.onset;
  return ok({
    ...passage,
    plucks,
    rolls: [
      ...passage.rolls.filter((r) => !r.plucks.some((id) => gone.has(id))),
      ...drawn.rolls.map((r) => ({
        ...r,
        id: `r${from}.${r.id}`,
        plucks: r.plucks.map((id) => `r${from}.${id}`),
      })),
    ],
    sweeps: [...passage.sweeps.filter((s) => !inside(s)), ...drawn.sweeps.map(moved)].sort(byOnset),
    trembles: [...passage.trembles.filter((t) => !inside(t)), ...trembles].sort(byOnset),
    damps: [
      ...passage.damps.filter((d) => !inside(d)),
      ...drawn.damps.map((d) => ({ ...d, onset: ticks(d.onset + first.start) })),
    ].sort(byOnset),
  });
}
