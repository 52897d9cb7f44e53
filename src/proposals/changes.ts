/** Small changes of the music as data, and the passage with one of them made. */

import { type Ticks, ticks } from '../base/units';
import { stringOf } from '../harp/strings';
import type { Passage, Pluck } from '../music/passage';
import type { Pitch } from '../music/pitch';

interface OfNotes {
  /** The plucks concerned. */
  readonly ids: readonly string[];
  /** Their pitches before, in the same order. */
  readonly from: readonly Pitch[];
}

/** What is changed. */
export type Change =
  | (OfNotes & { readonly kind: 'leave-out' })
  /**
   * Other pitches in the same order: another tone of the chord (`replace`), another tension that it bears
   * (`tension`), the same sound spelt on another string (`respell`), another octave (`octave`), two notes of a
   * figure changed about (`swap`).
   */
  | (OfNotes & {
      readonly kind: 'replace' | 'tension' | 'respell' | 'octave' | 'swap';
      readonly to: readonly Pitch[];
    })
  /** The harmony before stands on until `until`: the notes that are foreign to it get its nearest tones. */
  | (OfNotes & {
      readonly kind: 'hold';
      readonly to: readonly Pitch[];
      /** The harmony held over, and the one that comes late (at `until`) or never (null). */
      readonly chord: string;
      readonly over: string;
      readonly since: Ticks;
      readonly until: Ticks | null;
    })
  /** Struck so many ticks later: a whole chord, or one tone of it after the rest. */
  | (OfNotes & { readonly kind: 'delay'; readonly by: Ticks; readonly alone: boolean })
  /** A glissando may also stand in other settings: some tension sounds in it. `ids` names the sweep. */
  | (OfNotes & { readonly kind: 'sweep'; readonly settings: readonly number[] });

/** The passage with a change made; sorted as a passage is. */
export function withChange(passage: Passage, change: Change): Passage {
  const index = new Map(change.ids.map((id, i) => [id, i]));
  if (change.kind === 'sweep')
    return {
      ...passage,
      sweeps: passage.sweeps.map((s) => (index.has(s.id) ? { ...s, settings: change.settings } : s)),
    };
  if (change.kind === 'leave-out') {
    return {
      ...passage,
      plucks: passage.plucks.filter((p) => !index.has(p.id)),
      rolls: passage.rolls.map((r) => ({ ...r, plucks: r.plucks.filter((id) => !index.has(id)) })),
    };
  }
  const plucks = passage.plucks.map((p): Pluck => {
    const i = index.get(p.id);
    if (i === undefined) return p;
    if (change.kind === 'delay')
      return {
        ...p,
        onset: ticks(p.onset + change.by),
        duration: ticks(p.duration > change.by ? p.duration - change.by : p.duration),
      };
    return { ...p, pitch: change.to[i] as Pitch };
  });
  plucks.sort((a, b) => a.onset - b.onset || stringOf(a.pitch) - stringOf(b.pitch));
  if (change.kind === 'delay' && change.alone)
    // It is no longer struck with its chord.
    return {
      ...passage,
      plucks,
      rolls: passage.rolls.map((r) => ({ ...r, plucks: r.plucks.filter((id) => !index.has(id)) })),
    };
  if (change.kind !== 'hold') return { ...passage, plucks };
  const { since, until } = change;
  const chords = passage.chords
    .filter((c) => c.onset !== since || until !== null)
    .map((c) => (c.onset === since && until !== null ? { ...c, onset: until } : c));
  return { ...passage, plucks, chords };
}
