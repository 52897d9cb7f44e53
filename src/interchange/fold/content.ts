/** What each played bar holds, and a text of it by which passes of one bar are compared. */

import type { Ticks } from '../../base/units';
import type { Move, PlannedPassage } from '../../harp/planned';
import { type Setting, withPosition } from '../../harp/setting';
import { stringOf } from '../../harp/strings';
import { type Bar, barAt } from '../../music/metre';
import type { Passage, Pluck } from '../../music/passage';

type List<K extends keyof Passage> = NonNullable<Passage[K]> extends readonly (infer T)[] ? T[] : never;

export interface BarContent {
  readonly bar: Bar;
  /** The pedals at the bar line, before the bar's own moves. */
  readonly setting: Setting;
  /** Ticks from the bar's start to where the player first goes on elsewhere than to the next written bar. */
  readonly run: number;
  readonly fifths: number;
  /** The tempo at the bar line and every change in the bar. */
  readonly tempo: List<'tempo'>;
  readonly moves: Move[];
  readonly plucks: Pluck[];
  readonly sweeps: List<'sweeps'>;
  readonly trembles: List<'trembles'>;
  readonly chords: List<'chords'>;
  readonly damps: List<'damps'>;
  readonly slides: List<'slides'>;
  readonly hairpins: List<'hairpins'>;
  readonly rehearsals: List<'rehearsals'>;
  readonly words: List<'words'>;
}

/** Events by the bar that they begin in; what lies beyond the last bar is the last bar's. */
function byBar<T>(bars: readonly Bar[], events: readonly T[], onset: (event: T) => Ticks): T[][] {
  const out: T[][] = bars.map(() => []);
  for (const event of events) out[barAt(bars, onset(event)).index]?.push(event);
  return out;
}

export function contentsOf({ passage, moves, start }: PlannedPassage): BarContent[] {
  const { bars } = passage;
  const at = <T extends { readonly onset: Ticks }>(events: readonly T[] | undefined): T[][] =>
    byBar(bars, events ?? [], (event) => event.onset);
  const lists = {
    tempo: at(passage.tempo),
    moves: at(moves),
    plucks: at(passage.plucks),
    sweeps: at(passage.sweeps),
    trembles: at(passage.trembles),
    chords: at(passage.chords),
    damps: at(passage.damps),
    slides: at(passage.slides),
    rehearsals: at(passage.rehearsals),
    words: at(passage.words),
    keys: at(passage.keys),
    hairpins: byBar(bars, passage.hairpins ?? [], (pin) => pin.from),
  };
  const runs: number[] = [];
  for (let i = bars.length - 1; i >= 0; i--) {
    const bar = bars[i] as Bar;
    const goesOn = bars[i + 1]?.written === (bar.written ?? 0) + 1;
    runs[i] = bar.length + (goesOn ? (runs[i + 1] ?? 0) : 0);
  }
  let setting = start;
  let { fifths } = passage;
  let tempoNow: List<'tempo'>[number] | null = null;
  return bars.map((bar, i): BarContent => {
    const own = <K extends keyof typeof lists>(name: K) => lists[name][i] as (typeof lists)[K][number];
    const before = setting;
    setting = own('moves').reduce((now, move) => withPosition(now, move.letter, move.to), setting);
    fifths = own('keys').at(-1)?.fifths ?? fifths;
    const changes = own('tempo');
    const standing = tempoNow === null ? [] : [{ ...tempoNow, onset: bar.start }];
    const tempo = changes[0]?.onset === bar.start ? changes : [...standing, ...changes];
    tempoNow = tempo.at(-1) ?? null;
    const plucks = [...own('plucks')].sort(
      (a, b) => a.onset - b.onset || stringOf(a.pitch) - stringOf(b.pitch) || a.duration - b.duration,
    );
    return {
      ...{ bar, setting: before, run: runs[i] as number, fifths, tempo, plucks },
      ...{ moves: own('moves'), sweeps: own('sweeps'), trembles: own('trembles'), chords: own('chords') },
      ...{ damps: own('damps'), slides: own('slides'), hairpins: own('hairpins') },
      ...{ rehearsals: own('rehearsals'), words: own('words') },
    };
  });
}

/** Equal for two passes of a bar that print the same; lengths count up to `limit` ticks from the bar's start. */
export function likeness(content: BarContent, limit: number): string {
  const { bar, setting, fifths } = content;
  const from = (onset: number): number => onset - bar.start;
  return JSON.stringify([
    [setting, fifths, bar.length],
    content.tempo.map((t) => [from(t.onset), t.milliBpm, t.unseen ?? false]),
    content.moves.map((m) => [from(m.onset), m.letter, m.to, m.foot]),
    content.plucks.map((p) => [
      ...[from(p.onset), Math.min(p.duration, limit - from(p.onset)), p.pitch, p.hand, p.finger],
      ...[p.technique, p.ring ?? false],
    ]),
    content.sweeps.map((s) => [from(s.onset), s.duration, s.hand, s.from, s.to]),
    content.trembles.map((t) => [from(t.onset), t.duration, t.notes.map((n) => [n.pitch, n.hand])]),
    content.chords.map((c) => [from(c.onset), c.text]),
    content.damps.map((d) => [from(d.onset), d.below ?? null]),
    content.slides.map((s) => [from(s.onset), s.to]),
    content.hairpins.map((h) => [from(h.from), h.kind]),
    content.rehearsals.map((r) => [from(r.onset), r.text]),
    content.words.map((w) => [from(w.onset), w.text]),
  ]);
}
