// What every family keeps, over seeds, metres, tempi and progressions.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { FAMILIES } from '../../src/figures/families';
import { segmentsOf } from '../../src/figures/segments';
import type { FigureDraft, FigureFamily } from '../../src/figures/types';
import { CONCERT_HARP, INSTRUMENTS } from '../../src/harp/instrument';
import { settingMask } from '../../src/harp/sweep-settings';
import { stringOf } from '../../src/harp/strings';
import { scaleFor } from '../../src/harmony/scales';
import type { Progression } from '../../src/harmony/types';
import { barTicks } from '../../src/music/metre';
import { type Passage, type Pluck, passageEnd } from '../../src/music/passage';
import { midiOf, pitchClass } from '../../src/music/pitch';
import { METRES, PROGRESSIONS, progressionOf } from './progressions';

const TEMPI = [30, 52, 76, 96, 120, 160, 208, 240];
const SEEDS = 3;
/** Families with lines through the scale of a chord. */
const SCALES = ['octave-line', 'scale-links'];

const draft = (
  family: FigureFamily,
  progression: Progression,
  bpm: number,
  seed: string,
): ReturnType<FigureFamily['draft']> =>
  family.draft({
    progression,
    title: 'Test',
    milliBpm: bpm * 1000,
    instrument: CONCERT_HARP,
    random: seededRandom(seed).fork(family.id),
  });

interface Case {
  readonly label: string;
  readonly progression: Progression;
  readonly bpm: number;
  readonly draft: FigureDraft;
}

/** Every metre and progression, tempi in turn. */
function cases(family: FigureFamily): { made: Case[]; refused: string[] } {
  const made: Case[] = [];
  const refused: string[] = [];
  let turn = 0;
  for (const metre of METRES) {
    for (const text of PROGRESSIONS) {
      const progression = progressionOf(text, metre);
      for (let seed = 0; seed < SEEDS; seed++) {
        const bpm = TEMPI[turn++ % TEMPI.length] as number;
        const label = `${family.id} ${metre.beats}/${metre.unit} ${text} ♩=${bpm} seed ${seed}`;
        const result = draft(family, progression, bpm, `s${seed}`);
        if (result.ok) made.push({ label, progression, bpm, draft: result.value });
        else {
          expect(result.problems.length, label).toBeGreaterThan(0);
          refused.push(`${label}: ${result.problems[0]?.code}`);
        }
      }
    }
  }
  return { made, refused };
}

const byOnset = (plucks: readonly Pluck[]): Pluck[][] => {
  const map = new Map<number, Pluck[]>();
  for (const p of plucks) map.set(p.onset, [...(map.get(p.onset) ?? []), p]);
  return [...map.values()];
};

/** Faults of hands and strings, by a reading apart from the generator's own. */
function handFaults(p: Passage, bpm: number): string[] {
  const faults: string[] = [];
  const rolled = new Set(p.rolls.filter((r) => r.direction !== 'none').flatMap((r) => r.plucks));
  for (const at of byOnset(p.plucks)) {
    const strings = at.map((x) => stringOf(x.pitch));
    if (new Set(strings).size < strings.length) faults.push(`string twice at ${at[0]?.onset}`);
    for (const hand of ['L', 'R']) {
      const own = at.filter((x) => x.hand === hand);
      const s = own.map((x) => stringOf(x.pitch));
      if (own.length > 4) faults.push(`five fingers at ${at[0]?.onset}`);
      if (s.length > 1 && Math.max(...s) - Math.min(...s) > (own.some((x) => rolled.has(x.id)) ? 10 : 9))
        faults.push(`span at ${at[0]?.onset}`);
      if (hand === 'R' && s.some((x) => x < 9)) faults.push(`right hand below E2 at ${at[0]?.onset}`);
    }
    for (const x of at) if (x.hand === null || x.finger !== null) faults.push(`hand or finger of ${x.id}`);
    const s = strings.filter((x) => x < CONCERT_HARP.lowest || x > CONCERT_HARP.highest);
    if (s.length > 0) faults.push(`range at ${at[0]?.onset}`);
  }
  const last = new Map<number, number>();
  for (const x of p.plucks) {
    const before = last.get(stringOf(x.pitch));
    const time = before === undefined ? 1 : ((x.onset - before) / 3360) * (60 / bpm);
    if (time < 0.09) faults.push(`string again after ${time} s at ${x.onset}`);
    last.set(stringOf(x.pitch), x.onset);
  }
  return faults;
}

/** What sounds inside [from, to): pitch classes and the lowest key, sweeps and trembles included. */
function sounding(p: Passage, from: number, to: number): { pcs: Set<number>; lowest: number } {
  const pcs = new Set<number>();
  let lowest = Infinity;
  const add = (midi: number): void => {
    pcs.add(midi % 12);
    lowest = Math.min(lowest, midi);
  };
  for (const x of p.plucks) if (x.onset >= from && x.onset < to) add(midiOf(x.pitch));
  for (const t of p.trembles)
    if (t.onset >= from && t.onset < to) for (const n of t.notes) add(midiOf(n.pitch));
  return { pcs, lowest };
}

describe.each(FAMILIES.map((f) => [f.id, f] as const))('%s', (_id, family) => {
  const { made, refused } = cases(family);

  it('makes a draft for nearly everything', () => {
    expect(family.id).toMatch(/^[a-z]+(-[a-z]+)*$/);
    expect(family.serves.length).toBeGreaterThan(20);
    const all = METRES.length * PROGRESSIONS.length * SEEDS;
    expect(made.length + refused.length).toBe(all);
    expect(refused.length, refused.slice(0, 8).join('\n')).toBeLessThanOrEqual(all / 5);
  });

  it('gives the same passage for the same seed, and others for others', () => {
    const distinct = new Set<string>();
    for (const text of PROGRESSIONS.slice(0, 3)) {
      const progression = progressionOf(text, { beats: 4, unit: 4 });
      for (let seed = 0; seed < 10; seed++) {
        const a = draft(family, progression, 80, `x${seed}`);
        const b = draft(family, progression, 80, `x${seed}`);
        expect(JSON.stringify(a)).toBe(JSON.stringify(b));
        expect(a.ok).toBe(true);
        if (a.ok) distinct.add(JSON.stringify(a.value.passage));
      }
    }
    expect(distinct.size).toBeGreaterThanOrEqual(15);
  });

  it('keeps to the hands, the strings and the harp', () => {
    const faults = made.flatMap((c) => handFaults(c.draft.passage, c.bpm).map((f) => `${c.label}: ${f}`));
    expect(faults.slice(0, 5)).toEqual([]);
  });

  it('fills every bar that has a chord and nothing else', () => {
    for (const c of made) {
      const p = c.draft.passage;
      const bar = barTicks(c.progression.metre);
      expect(passageEnd(p), c.label).toBe(bar * c.progression.barCount);
      const events = [...p.plucks, ...p.sweeps, ...p.trembles];
      for (const e of events) {
        expect(e.duration, c.label).toBeGreaterThan(0);
        expect(Number.isInteger(e.onset) && Number.isInteger(e.duration), c.label).toBe(true);
        expect(e.onset + e.duration, c.label).toBeLessThanOrEqual(passageEnd(p));
      }
      for (const placed of c.progression.chords) {
        for (let at: number = placed.onset; at < placed.onset + placed.duration;) {
          const end = Math.min(placed.onset + placed.duration, (Math.floor(at / bar) + 1) * bar);
          const inside = events.filter((e) => e.onset >= at && e.onset < end);
          if (placed.chord === null) expect(inside.length, `${c.label} N.C. at ${at}`).toBe(0);
          else expect(inside.length, `${c.label} at ${at}`).toBeGreaterThan(0);
          at = end;
        }
      }
      const order = p.plucks.map((x) => x.onset * 1000 + midiOf(x.pitch));
      expect(order, c.label).toEqual([...order].sort((a, b) => a - b));
      expect(p.plucks.map((x) => x.id)).toEqual(p.plucks.map((_, i) => `p${i}`));
      expect(p.chords.length).toBe(c.progression.chords.length);
    }
  });

  it('plays the chord over its bass, in spellings that a string can hold', () => {
    let checked = 0;
    for (const c of made) {
      const p = c.draft.passage;
      for (const s of segmentsOf(c.progression)) {
        const end = s.onset + s.duration;
        const { pcs, lowest } = sounding(p, s.onset, end);
        const bass = s.chord.bass ?? s.chord.root;
        const allowed = new Set([...s.chord.tones.map((t) => t.pc), pitchClass(bass.letter, bass.alter)]);
        // Scale figures pass through the chord's scale.
        if (SCALES.includes(family.id))
          for (const t of scaleFor(s.chord, c.progression.key)) allowed.add(pitchClass(t.letter, t.alter));
        expect(
          [...pcs].filter((pc) => !allowed.has(pc)),
          `${c.label} ${s.chord.text}`,
        ).toEqual([]);
        expect(lowest % 12, `${c.label} bass of ${s.chord.text}`).toBe(pitchClass(bass.letter, bass.alter));
        if (s.fresh) {
          // At once, or after a rest that the figure begins with.
          const starts = [...p.plucks, ...p.trembles].map((x) => x.onset).filter((x) => x >= s.onset);
          const start = Math.min(...starts);
          const first = sounding(p, start, start + 1);
          expect(first.lowest, `${c.label} ${s.chord.text} begins`).toBe(lowest);
        }
        checked++;
      }
      for (const x of p.plucks) expect(Math.abs(x.pitch.alter), c.label).toBeLessThanOrEqual(1);
      for (const at of byOnset(p.plucks)) {
        const letters = new Map(at.map((x) => [x.pitch.letter, x.pitch.alter]));
        for (const x of at) expect(letters.get(x.pitch.letter), `${c.label} clash`).toBe(x.pitch.alter);
      }
    }
    expect(checked).toBeGreaterThan(made.length * 3);
  });

  it('closes: the last chord is no busier than the others, holds its root or bass and rings to the end', () => {
    for (const c of made) {
      const p = c.draft.passage;
      const segments = segmentsOf(c.progression);
      const last = segments.at(-1);
      if (last === undefined) continue;
      const closing = p.plucks.filter((x) => x.onset >= last.onset);
      const ringing = closing.filter((x) => x.ring === true);
      const bass = last.chord.bass ?? last.chord.root;
      const home = [
        pitchClass(bass.letter, bass.alter),
        pitchClass(last.chord.root.letter, last.chord.root.alter),
      ];
      expect(
        ringing.some((x) => home.includes(midiOf(x.pitch) % 12)),
        c.label,
      ).toBe(true);
      const end = Math.max(...closing.map((x) => x.onset + x.duration));
      expect(end, c.label).toBe(last.onset + last.duration);
      // Onsets for each bar's length, against the busiest stretch before; a lone stroke is thin whatever its length.
      const density = (s: { onset: number; duration: number }): number => {
        const inside = p.plucks.filter((x) => x.onset >= s.onset && x.onset < s.onset + s.duration);
        return new Set(inside.map((x) => x.onset)).size / s.duration;
      };
      const busiest = Math.max(0, ...segments.slice(0, -1).map(density));
      const alone = new Set(closing.map((x) => x.onset)).size <= 2;
      if (p.sweeps.length + p.trembles.length === 0 && segments.length > 1 && !alone)
        expect(density(last), c.label).toBeLessThanOrEqual(busiest);
    }
  });

  it('gives a sweeping or whispering hand nothing else to do', () => {
    for (const c of made) {
      const { plucks, sweeps, trembles } = c.draft.passage;
      const busy = [
        ...sweeps.map((s) => ({
          hand: s.hand,
          from: s.onset as number,
          to: s.onset + s.duration,
          string: s.from,
        })),
        ...trembles.flatMap((t) =>
          [...new Set(t.notes.map((n) => n.hand))].map((hand) => ({
            hand,
            from: t.onset as number,
            to: t.onset + t.duration,
            string: Infinity,
          })),
        ),
      ];
      for (const [i, b] of busy.entries()) {
        const during = plucks.filter((x) => x.hand === b.hand && x.onset >= b.from && x.onset < b.to);
        expect(
          during.map((x) => x.id),
          c.label,
        ).toEqual([]);
        // Fingers of one hand may sweep side by side: at one time, within an octave.
        const beside = (o: (typeof busy)[0]): boolean =>
          o.from === b.from && o.to === b.to && Math.abs(o.string - b.string) <= 7;
        const other = busy
          .slice(i + 1)
          .filter((o) => o.hand === b.hand && o.from < b.to && o.to > b.from && !beside(o));
        expect(other, c.label).toEqual([]);
      }
      for (const t of trembles) {
        expect(t.notes.length, c.label).toBeGreaterThanOrEqual(3);
        expect(t.notes.length, c.label).toBeLessThanOrEqual(8);
        expect(['ppp', 'pp', 'p']).toContain(t.dynamic);
        const strings = t.notes.map((n) => stringOf(n.pitch));
        expect(new Set(strings).size).toBe(strings.length);
      }
      for (const s of sweeps) {
        expect(Math.min(s.from, s.to)).toBeGreaterThanOrEqual(s.hand === 'R' ? 11 : 2);
        expect(Math.max(s.from, s.to)).toBeLessThanOrEqual(CONCERT_HARP.highest);
      }
    }
  });

  it('sweeps with settings that suit', () => {
    for (const c of made) {
      for (const g of c.draft.passage.sweeps) {
        expect(g.settings.length, c.label).toBeGreaterThan(0);
        const at = segmentsOf(c.progression).find(
          (s) => s.onset <= g.onset && s.onset + s.duration > g.onset,
        );
        const guide = (at?.chord.tones ?? []).filter((t) => [1, 3, 7].includes(t.degree));
        for (const s of g.settings)
          for (const t of guide) expect((settingMask(s) >> t.pc) & 1, `${c.label} ${at?.chord.text}`).toBe(1);
        const rate = Math.abs(g.to - g.from) / ((g.duration / 3360) * (60 / c.bpm));
        expect(rate, c.label).toBeLessThanOrEqual(45);
      }
    }
  });

  it('stays on the strings of every harp', () => {
    let drafts = 0;
    for (const instrument of INSTRUMENTS) {
      for (const text of PROGRESSIONS) {
        for (const seed of ['a', 'b']) {
          const result = family.draft({
            progression: progressionOf(text, { beats: 4, unit: 4 }),
            title: '',
            milliBpm: 72_000,
            instrument,
            random: seededRandom(seed).fork(family.id),
          });
          if (!result.ok) continue;
          drafts++;
          const { plucks, sweeps, trembles } = result.value.passage;
          const strings = [
            ...[...plucks, ...trembles.flatMap((t) => t.notes)].map((n) => stringOf(n.pitch)),
            ...sweeps.flatMap((s) => [s.from, s.to]),
          ];
          expect(Math.min(...strings), `${instrument.id} ${text}`).toBeGreaterThanOrEqual(instrument.lowest);
          expect(Math.max(...strings), `${instrument.id} ${text}`).toBeLessThanOrEqual(instrument.highest);
          expect(strings.filter((s) => instrument.discless.includes(s))).toEqual([]);
        }
      }
    }
    expect(drafts).toBeGreaterThan(INSTRUMENTS.length * PROGRESSIONS.length);
  });

  it('has whole craft points', () => {
    for (const c of made) {
      for (const [term, points] of Object.entries(c.draft.craft)) {
        expect(Number.isInteger(points) && points >= 0, `${c.label} ${term} ${points}`).toBe(true);
      }
    }
  });
});
