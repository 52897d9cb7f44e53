// The least number of moves by brute force, written from the contract: every spelling, every order of every foot.
import { PEDALS, type Setting, footOf, positionOf } from '../../src/harp/setting';
import { stringLetter, stringOf } from '../../src/harp/strings';
import { midiOf, type Letter, type Pitch } from '../../src/music/pitch';
import { type Passage, passageEnd } from '../../src/music/passage';
import { tempoMap } from '../../src/music/tempo';
import { ticks } from '../../src/base/units';

interface Window {
  readonly release: number;
  readonly due: number;
  readonly letter: Letter;
  /** Microseconds that it must stand before it is needed. */
  readonly settle: number;
}

const spellings = (p: Pitch): Pitch[] => {
  const out: Pitch[] = [];
  for (const letter of PEDALS) {
    for (const alter of [-1, 0, 1] as const) {
      for (const octave of [p.octave - 1, p.octave, p.octave + 1]) {
        const q = { letter, alter, octave };
        if (midiOf(q) === midiOf(p) && stringOf(q) >= 0 && stringOf(q) <= 46) out.push(q);
      }
    }
  }
  return out;
};

/** Null where no plan exists. Free of discless strings: keep notes above E♭1. */
export function leastMovesByForce(
  passage: Passage,
  start: Setting | null,
  end: Setting | null,
  keepSpelling = false,
  settle = 0,
): number | null {
  const time = tempoMap(passage.tempo);
  const micros = (t: number): number => time.microsAt(ticks(t));
  const gap = 250_000;
  const plucks = [...passage.plucks].sort((a, b) => a.onset - b.onset);

  /** Does some order of one foot's moves meet every window? Each is taken as early as it can be. */
  const ordered = (windows: readonly Window[], last: number): boolean => {
    if (windows.length === 0) return true;
    return windows.some((w, i) => {
      let at = w.release;
      while (at <= w.due && micros(at) - last < gap)
        at += Math.max(1, Math.floor((gap - micros(at) + last) / 2000));
      if (at > w.due || micros(w.due) - micros(at) < w.settle) return false;
      // One letter's moves come in their own order.
      if (windows.some((v, j) => j < i && v.letter === w.letter)) return false;
      return ordered(
        windows.filter((_, j) => j !== i),
        micros(at),
      );
    });
  };

  let best: number | null = null;
  const judge = (chosen: readonly Pitch[]): void => {
    const sweepChoices = passage.sweeps.reduce<Setting[][]>(
      (all, sweep) => all.flatMap((list) => sweep.settings.map((s) => [...list, s])),
      [[]],
    );
    for (const sweepSettings of sweepChoices) {
      // Needs: letter → [onset, last instant at which it is needed, position].
      const needs = new Map<Letter, [number, number, number][]>();
      const need = (letter: Letter, from: number, free: number, position: number): void => {
        needs.set(letter, [...(needs.get(letter) ?? []), [from, free, position]]);
      };
      plucks.forEach((p, i) =>
        need((chosen[i] as Pitch).letter, p.onset, p.onset, (chosen[i] as Pitch).alter),
      );
      passage.sweeps.forEach((sweep, i) => {
        for (let s = Math.min(sweep.from, sweep.to); s <= Math.max(sweep.from, sweep.to); s++) {
          const letter = stringLetter(s);
          need(
            letter,
            sweep.onset,
            sweep.onset + sweep.duration,
            positionOf(sweepSettings[i] as Setting, letter),
          );
        }
      });
      const windows: Window[] = [];
      let sound = true;
      let last = passageEnd(passage) as number;
      for (const list of needs.values()) for (const [, free] of list) last = Math.max(last, free);
      for (const letter of PEDALS) {
        const list = (needs.get(letter) ?? []).sort((a, b) => a[0] - b[0]);
        let position = start === null ? (list[0]?.[2] ?? null) : positionOf(start, letter);
        let free = 0;
        for (const [from, until, wanted] of list) {
          if (wanted !== position) {
            if (free > from) sound = false;
            windows.push({ letter, release: free, due: from, settle });
            position = wanted;
          }
          free = Math.max(free, until);
        }
        if (end !== null && position !== null && position !== positionOf(end, letter)) {
          windows.push({ letter, release: free, due: last, settle: 0 });
        }
      }
      if (!sound || (best !== null && windows.length >= best)) continue;
      const feet = ['left', 'right'] as const;
      if (
        feet.every((foot) =>
          ordered(
            windows.filter((w) => footOf(w.letter) === foot),
            Number.NEGATIVE_INFINITY,
          ),
        )
      ) {
        best = windows.length;
      }
    }
  };
  const choose = (i: number, chosen: Pitch[]): void => {
    const pluck = plucks[i];
    if (pluck === undefined) return judge(chosen);
    const open = keepSpelling || pluck.fixed === true ? [pluck.pitch] : spellings(pluck.pitch);
    for (const q of open) {
      let fits = true;
      for (let j = 0; j < i && fits; j++) {
        if ((plucks[j] as (typeof plucks)[number]).onset !== pluck.onset) continue;
        const r = chosen[j] as Pitch;
        const sameWritten = stringOf((plucks[j] as (typeof plucks)[number]).pitch) === stringOf(pluck.pitch);
        if (r.letter === q.letter && (r.alter !== q.alter || (r.octave === q.octave && !sameWritten)))
          fits = false;
      }
      if (fits) choose(i + 1, [...chosen, q]);
    }
  };
  choose(0, []);
  return best;
}
