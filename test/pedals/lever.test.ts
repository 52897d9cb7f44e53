// The lever planner against a plain search on a grid of tenths of a second, and worked cases.
import { describe, expect, it } from 'vitest';
import { type Random, seededRandom } from '../../src/base/random';
import { ticks } from '../../src/base/units';
import { LEVER_HARP } from '../../src/harp/instrument';
import { stringName, stringOf } from '../../src/harp/strings';
import { makeBars } from '../../src/music/metre';
import type { Hand, Passage, Pluck, Sweep } from '../../src/music/passage';
import { harpSpellings, midiOf, pitchName } from '../../src/music/pitch';
import { defaultLeverOptions, planLevers } from '../../src/pedals/lever-plan';
import { openPosition } from '../../src/pedals/lever-types';

/** A tenth of a second at ♩ = 60. */
const TENTH = 336;
type Note = readonly [tenth: number, midi: number, hand: Hand];

function passageOf(notes: readonly Note[], sweeps: Sweep[] = []): Passage {
  const plucks = notes.map(([at, midi, hand], i): Pluck => {
    const pitch = harpSpellings(midi)[0];
    if (pitch === undefined) throw new Error('no spelling');
    return {
      id: `n${i}`,
      onset: ticks(at * TENTH),
      duration: ticks(TENTH),
      pitch,
      hand,
      finger: null,
      technique: 'ordinary',
      dynamic: 'mf',
    };
  });
  plucks.sort((a, b) => a.onset - b.onset || midiOf(a.pitch) - midiOf(b.pitch));
  return {
    title: '',
    bars: makeBars({ beats: 4, unit: 4 }, 4),
    tempo: [{ onset: ticks(0), milliBpm: 60_000 }],
    fifths: -3,
    plucks,
    rolls: [],
    sweeps,
    trembles: [],
    chords: [],
    damps: [],
  };
}

/** Open pitches of the strings from C2 to A6 in E flat major, by hand. */
const OPEN = (() => {
  const steps = [36, 38, 39, 41, 43, 44, 46];
  return Array.from({ length: 34 }, (_, i) => (steps[i % 7] as number) + 12 * Math.floor(i / 7));
})();

/**
 * Fewest lever moves by a walk over tenths of a second: at each, first the strokes, then at most one lever. The hand
 * needs 3 tenths to a lever and 1 back. Null where nothing works.
 */
function brute(notes: readonly Note[], start: ReadonlySet<number> | null): number | null {
  const last = Math.max(...notes.map((n) => n[0]));
  const strings = [
    ...new Set(notes.flatMap(([, m]) => OPEN.flatMap((o, s) => (m === o || m === o + 1 ? [s] : [])))),
  ];
  interface State {
    levers: Map<number, number>;
    clock: number;
    moves: number;
  }
  let states: State[] = [];
  // Every way to begin, where it is free.
  for (let bits = 0; bits < 1 << strings.length; bits++) {
    const levers = new Map(strings.map((s, i) => [s, (bits >> i) & 1]));
    if (start === null || strings.every((s) => levers.get(s) === (start.has(s) ? 1 : 0)))
      states.push({ levers, clock: -3, moves: 0 });
  }
  for (let t = 0; t <= last; t++) {
    const here = notes.filter((n) => n[0] === t);
    const left = here.some((n) => n[2] === 'L');
    const kept = new Map<string, State>();
    // A lever may stand at this very instant, before the strokes or after them; the hand is back a tenth later.
    const move = (s: State): State[] =>
      t < s.clock + 3
        ? [s]
        : [
            s,
            ...strings.map((x) => ({
              levers: new Map(s.levers).set(x, 1 - (s.levers.get(x) as number)),
              clock: t + 1,
              moves: s.moves + 1,
            })),
          ];
    const strike = (s: State): State[] => {
      const sounds = (m: number, used: Map<number, number>): number[] =>
        strings.filter(
          (x) => (OPEN[x] as number) + (s.levers.get(x) as number) === m && (used.get(x) ?? m) === m,
        );
      const fits = (i: number, used: Map<number, number>): boolean => {
        const note = here[i];
        if (note === undefined) return true;
        return sounds(note[1], used).some((x) => fits(i + 1, new Map(used).set(x, note[1])));
      };
      if (left && s.clock > t) return [];
      return fits(0, new Map()) ? [left ? { ...s, clock: Math.max(s.clock, t) } : s] : [];
    };
    // Two levers never at one instant: either before the strokes or after.
    const before = states.flatMap((s) => move(s).flatMap((m) => strike(m).map((x) => ({ x, had: m !== s }))));
    for (const { x, had } of before) {
      for (const s of had ? [x] : move(x)) {
        const key = strings.map((n) => s.levers.get(n)).join('') + `/${Math.max(s.clock, t - 9)}`;
        const other = kept.get(key);
        if (other === undefined || other.moves > s.moves) kept.set(key, s);
      }
    }
    states = [...kept.values()];
  }
  return states.length === 0 ? null : Math.min(...states.map((s) => s.moves));
}

/** What any plan must be: right at every note, and possible for the left hand. */
function faults(asked: Passage, answer: ReturnType<typeof planLevers>): string[] {
  if (answer.status === 'unplayable') return ['unplayable'];
  const { plan } = answer;
  const out: string[] = [];
  const before = new Map(asked.plucks.map((p) => [p.id, midiOf(p.pitch)]));
  const up = new Set(plan.start);
  const lefts = plan.passage.plucks.filter((p) => p.hand === 'L').map((p) => p.onset / TENTH);
  let previous = -Infinity;
  for (const m of plan.moves) {
    const at = m.onset / TENTH;
    if (at < previous + 4 - 1e-6) out.push(`too soon after the last lever at ${at}`);
    previous = at;
    for (const l of lefts) if (l > at - 3 && l < at + 1) out.push(`left hand busy at ${at}`);
  }
  const position = (string: number, at: number, wants: number): boolean => {
    const rows = plan.moves.filter((m) => m.string === string);
    const settled = rows.filter((m) => m.onset < at).at(-1)?.to ?? (up.has(string) ? 1 : 0);
    const same = rows.find((m) => m.onset === at)?.to ?? settled;
    return settled === wants || same === wants;
  };
  for (const p of plan.passage.plucks) {
    if (midiOf(p.pitch) !== before.get(p.id)) out.push(`pitch of ${p.id}`);
    const string = stringOf(p.pitch);
    const lever = p.pitch.alter - openPosition(plan.harp, string);
    if (lever !== 0 && lever !== 1) out.push(`lever of ${p.id}`);
    else if (!position(string, p.onset, lever)) out.push(`lever of ${p.id} does not stand`);
    if (string < 7 || string > 40) out.push(`string of ${p.id}`);
  }
  return out;
}

function randomNotes(random: Random): Note[] {
  const notes: Note[] = [];
  let at = random.below(3);
  const n = 4 + random.below(4);
  for (let i = 0; i < n; i++) {
    const hand: Hand = random.chance(1, 2) ? 'L' : 'R';
    notes.push([at, 60 + random.below(7), hand]);
    at += random.pick([1, 2, 3, 4, 6]);
  }
  return notes;
}

describe('the lever harp', () => {
  it('has 34 strings from C2 to A6, tuned to E flat major', () => {
    const { lowest, highest } = LEVER_HARP;
    expect([stringName(lowest), stringName(highest), highest - lowest + 1]).toEqual(['C2', 'A6', 34]);
    const tuned = Array.from({ length: 34 }, (_, i) =>
      midiOf({
        letter: stringName(7 + i)[0] as 'C',
        alter: openPosition(LEVER_HARP, 7 + i),
        octave: Number(stringName(7 + i)[1]),
      }),
    );
    expect(tuned).toEqual(OPEN);
  });

  it('finds as few moves as a plain search, on 300 seeded passages, and says unplayable where that finds nothing', () => {
    const random = seededRandom('levers');
    let [played, refused, forced] = [0, 0, 0];
    for (let i = 0; i < 300; i++) {
      const notes = randomNotes(random);
      const start = random.chance(1, 3) ? new Set<number>() : null;
      const passage = passageOf(notes);
      const answer = planLevers(passage, { ...defaultLeverOptions, start: start === null ? null : [] });
      const least = brute(notes, start);
      if (answer.status === 'unplayable') {
        refused++;
        expect([i, least]).toEqual([i, null]);
        continue;
      }
      played++;
      expect([i, answer.price.moves]).toEqual([i, least]);
      expect(answer.plan.moves).toHaveLength(answer.price.moves);
      expect(faults(passage, answer)).toEqual([]);
      expect(answer.lowerBound).toBeLessThanOrEqual(answer.price.moves);
      if (answer.lowerBound < answer.price.moves) forced++;
    }
    expect(played).toBeGreaterThan(60);
    expect(refused).toBeGreaterThan(40);
    expect(forced).toBeGreaterThan(0);
  });

  it('refuses with notes of which none can be dropped', () => {
    const random = seededRandom('lever conflicts');
    let seen = 0;
    for (let i = 0; i < 60; i++) {
      const notes = randomNotes(random);
      const passage = passageOf(notes);
      const answer = planLevers(passage);
      if (answer.status !== 'unplayable') continue;
      seen++;
      const only = (ids: readonly string[]): Passage => ({
        ...passage,
        plucks: passage.plucks.filter((p) => ids.includes(p.id)),
      });
      expect(planLevers(only(answer.conflict)).status).toBe('unplayable');
      for (const id of answer.conflict)
        expect(planLevers(only(answer.conflict.filter((x) => x !== id))).status).not.toBe('unplayable');
    }
    expect(seen).toBeGreaterThan(5);
  });

  it('A flat and A in turn: the G string raised needs no lever; kept as written, two, while the left hand rests', () => {
    const answer = planLevers(
      passageOf([
        [0, 68, 'R'],
        [5, 69, 'R'],
        [10, 69, 'L'],
        [20, 68, 'R'],
      ]),
    );
    if (answer.status === 'unplayable') throw new Error('playable');
    expect(answer.price).toEqual({ moves: 0, respelt: 2 });
    expect(answer.plan.passage.plucks.map((p) => pitchName(p.pitch))).toContain('G♯4');
    const kept = { ...defaultLeverOptions, keepSpelling: true };
    const slow = planLevers(
      passageOf([
        [0, 68, 'R'],
        [5, 69, 'R'],
        [10, 69, 'L'],
        [20, 68, 'R'],
      ]),
      kept,
    );
    expect(slow.status === 'unplayable' ? null : slow.price).toEqual({ moves: 2, respelt: 0 });
    // From the left hand's stroke to the next A flat two tenths are too few.
    const fast = passageOf([
      [0, 68, 'R'],
      [5, 69, 'R'],
      [7, 69, 'L'],
      [9, 68, 'R'],
    ]);
    const refused = planLevers(fast, kept);
    expect(refused.status === 'unplayable' && refused.problems[0]?.code).toBe('lever-time');
  });

  it('has nothing below its tuning, and nothing outside its strings', () => {
    const at = (midi: number, pitch: Pluck['pitch']): Passage => {
      const p = passageOf([[0, midi, 'R']]);
      return { ...p, plucks: p.plucks.map((x) => ({ ...x, pitch, fixed: true })) };
    };
    const flat = planLevers(at(61, { letter: 'D', alter: -1, octave: 4 }));
    expect(flat.status === 'unplayable' && flat.problems[0]?.code).toBe('lever-pitch');
    // Not fixed, it is C raised.
    const free = planLevers(passageOf([[0, 61, 'R']]));
    expect(free.status === 'unplayable' ? null : free.plan.passage.plucks[0]?.pitch.letter).toBe('C');
    for (const midi of [35, 94, 24]) {
      const off = planLevers(passageOf([[0, midi, 'L']]));
      expect(off.status === 'unplayable' && off.problems[0]?.code).toBe('range');
    }
    expect(planLevers(passageOf([])).status).toBe('optimal');
  });

  it('sweeps only what its levers can set, each string by itself', () => {
    const sweep = (settings: number[]): Sweep => ({
      id: 's',
      onset: ticks(0),
      duration: ticks(10 * TENTH),
      hand: 'R',
      from: 14,
      to: 20,
      settings,
      dynamic: 'f',
    });
    const [natural, flats] = [1093, 0];
    const raised = planLevers(passageOf([[15, 68, 'R']], [sweep([natural])]));
    if (raised.status === 'unplayable') throw new Error('playable');
    // E, A and B of one octave are up; A flat above needs its own string, or G raised.
    expect(raised.plan.start.slice(0, 3).map(stringName)).toEqual(['E3', 'A3', 'B3']);
    expect(raised.price.moves).toBe(0);
    expect(planLevers(passageOf([], [sweep([flats])])).status).toBe('unplayable');
  });
});
