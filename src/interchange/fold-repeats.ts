/** Repeats that were unfolded to be planned, folded again to be printed: the bars once, with their signs. */

import { type Ticks, ticks } from '../base/units';
import type { Move, PlannedPassage } from '../harp/planned';
import { type Setting, withPosition } from '../harp/setting';
import { stringOf } from '../harp/strings';
import type { Bar } from '../music/metre';
import type { Passage, Pluck, WrittenBar } from '../music/passage';
import { type BarContent, contentsOf, likeness } from './fold/content';

/** A passage as it is printed: what is under a repeat stands there once. */
export interface FoldedPassage {
  readonly planned: PlannedPassage;
  /** Repeat signs by the index of the bar. Empty where nothing is folded. */
  readonly signs: ReadonlyMap<number, WrittenBar>;
}

/** Played bars that share no written bar with the others, in order: a repeat with its endings, or what lies between. */
export function sections(bars: readonly Bar[], form: readonly WrittenBar[]): Bar[][] {
  const out: Bar[][] = [];
  let least = Infinity;
  const ends = new Set<number>();
  const mosts: number[] = [];
  for (const bar of bars) mosts.push(Math.max(mosts.at(-1) ?? 0, bar.written ?? 0));
  for (let i = bars.length - 1; i >= 0; i--) {
    // A later ending belongs to the repeat of the endings before it.
    const endings = form[least]?.ending !== undefined && form[least - 1]?.ending !== undefined;
    if ((mosts[i] as number) < least && !endings) ends.add(i);
    least = Math.min(least, (bars[i] as Bar).written ?? 0);
  }
  let section: Bar[] = [];
  for (const bar of bars) {
    section.push(bar);
    if (!ends.has(bar.index)) continue;
    out.push(section);
    section = [];
  }
  return out;
}

interface Kept {
  readonly bar: BarContent;
  /** The first time the bar is played, whose ids are printed. */
  readonly first: BarContent;
  readonly sign: WrittenBar | null;
}

/** The bars of a section once each, or null where its passes differ. */
function foldSection(
  section: readonly Bar[],
  contents: readonly BarContent[],
  form: readonly WrittenBar[],
  entering: Setting,
): Kept[] | null {
  const passes = new Map<number, BarContent[]>();
  for (const bar of section) {
    const written = bar.written ?? 0;
    passes.set(written, [...(passes.get(written) ?? []), contents[bar.index] as BarContent]);
  }
  const kept: Kept[] = [];
  for (const [written, all] of [...passes].sort((a, b) => a[0] - b[0])) {
    const limit = Math.min(...all.map((content) => content.run));
    const [first, ...others] = all as [BarContent, ...BarContent[]];
    const own = likeness(first, limit);
    if (others.some((other) => likeness(other, limit) !== own)) return null;
    kept.push({ bar: all.at(-1) as BarContent, first, sign: form[written] ?? null });
  }
  // As printed, each bar must find the pedals where the bar before it leaves them.
  let setting = entering;
  for (const { bar } of kept) {
    if (bar.setting !== setting) return null;
    setting = bar.moves.reduce((now, move) => withPosition(now, move.letter, move.to), setting);
  }
  return kept;
}

/**
 * Folds every repeat whose passes carry the same notes and moves; the others stay written out. Loudness may differ from
 * pass to pass: the last pass is printed, under the ids of the first. Pure; a passage without `form` comes back as it is.
 */
export function foldRepeats(planned: PlannedPassage): FoldedPassage {
  const { passage } = planned;
  const { form } = passage;
  if (form === undefined || passage.bars.some((bar) => bar.written === undefined)) {
    return { planned, signs: new Map() };
  }
  const contents = contentsOf(planned);
  const jumps = form.some((bar) => bar.jump !== undefined);
  const kept: Kept[] = [];
  let folds = false;
  for (const section of jumps ? [passage.bars] : sections(passage.bars, form)) {
    const first = contents[(section[0] as Bar).index] as BarContent;
    const folded = foldSection(section, contents, form, first.setting);
    const repeats = folded !== null && folded.length < section.length;
    if (repeats) folds = true;
    kept.push(
      ...(repeats && folded !== null
        ? folded
        : section.map((bar) => {
            const own = contents[bar.index] as BarContent;
            return { bar: own, first: own, sign: null };
          })),
    );
  }
  return folds ? assemble(planned, kept) : { planned, signs: new Map() };
}

function assemble(planned: PlannedPassage, kept: readonly Kept[]): FoldedPassage {
  const { form: _, ...passage } = planned.passage;
  const ids = new Map<string, string>();
  const signs = new Map<number, WrittenBar>();
  const bars: Bar[] = [];
  const moves: Move[] = [];
  const plucks: Pluck[] = [];
  const out = {
    ...{ sweeps: [] as Passage['sweeps'][number][], trembles: [] as Passage['trembles'][number][] },
    ...{ chords: [] as Passage['chords'][number][], damps: [] as Passage['damps'][number][] },
    ...{ tempo: [] as Passage['tempo'][number][], keys: [] as NonNullable<Passage['keys']>[number][] },
    ...{ slides: [] as NonNullable<Passage['slides']>[number][] },
    ...{ hairpins: [] as NonNullable<Passage['hairpins']>[number][] },
    ...{ rehearsals: [] as NonNullable<Passage['rehearsals']>[number][] },
    ...{ words: [] as NonNullable<Passage['words']>[number][] },
  };
  let start = 0;
  let { fifths } = passage;
  for (const { bar: content, first, sign } of kept) {
    const { written: _w, pass: _p, ...bar } = content.bar;
    const shift = start - bar.start;
    const at = <T extends { readonly onset: Ticks }>(x: T): T => ({ ...x, onset: ticks(x.onset + shift) });
    if (sign !== null) signs.set(bars.length, sign);
    content.plucks.forEach((pluck, i) => {
      const id = first.plucks[i]?.id ?? pluck.id;
      ids.set(pluck.id, id);
      const duration = ticks(Math.min(pluck.duration, content.run - (pluck.onset - bar.start)));
      plucks.push({ ...at(pluck), id, duration });
    });
    content.sweeps.forEach((sweep, i) =>
      out.sweeps.push({ ...at(sweep), id: first.sweeps[i]?.id ?? sweep.id }),
    );
    content.trembles.forEach((tremble, i) =>
      out.trembles.push({ ...(first.trembles[i] ?? tremble), onset: at(tremble).onset }),
    );
    out.chords.push(...content.chords.map(at));
    out.damps.push(...content.damps.map(at));
    content.slides.forEach((slide, i) =>
      out.slides.push({ ...at(slide), id: first.slides[i]?.id ?? slide.id }),
    );
    out.rehearsals.push(...content.rehearsals.map(at));
    out.words.push(...content.words.map(at));
    out.hairpins.push(
      ...content.hairpins.map((pin) => ({
        ...pin,
        from: ticks(pin.from + shift),
        to: ticks(pin.to + shift),
      })),
    );
    for (const change of content.tempo.map(at)) {
      if (out.tempo.at(-1)?.milliBpm !== change.milliBpm) out.tempo.push(change);
    }
    if (content.fifths !== fifths) out.keys.push({ onset: ticks(start), fifths: content.fifths });
    fifths = content.fifths;
    moves.push(...content.moves.map(at));
    bars.push({ ...bar, index: bars.length, start: ticks(start) });
    start += bar.length;
  }
  const rolls = passage.rolls.flatMap((roll) =>
    roll.plucks.every((id) => ids.has(id))
      ? [{ ...roll, plucks: roll.plucks.map((id) => ids.get(id) ?? id) }]
      : [],
  );
  plucks.sort((a, b) => a.onset - b.onset || stringOf(a.pitch) - stringOf(b.pitch));
  const { slides, ...rest } = out;
  const folded: Passage = {
    ...passage,
    ...rest,
    bars,
    plucks,
    rolls,
    slides: slides.map((slide) => ({ ...slide, pluck: ids.get(slide.pluck) ?? slide.pluck })),
  };
  return { planned: { ...planned, passage: folded, start: planned.start, moves }, signs };
}
