// Cheaper neighbours: every one offered is held against a plan of its own; planted savings are found.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { ticks } from '../../src/base/units';
import { makeBars } from '../../src/music/metre';
import type { HarmonyMark, Passage } from '../../src/music/passage';
import { harpSpellings, midiOf, pitchClass, pitchName } from '../../src/music/pitch';
import type { PlannedPassage } from '../../src/harp/planned';
import { keySetting, positionOf } from '../../src/harp/setting';
import { settingAt } from '../../src/harp/planned';
import { judge } from '../../src/playability/judge';
import { type Change, withChange } from '../../src/proposals/changes';
import { waysOf } from '../../src/proposals/ways';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import type { PlanOptions } from '../../src/pedals/types';
import { glissSettings } from '../../src/pedals/glissando';
import { harmoniesOf, harmonyAt } from '../../src/proposals/harmony-here';
import { neighbours, neighboursOf } from '../../src/proposals/neighbours';
import { propose } from '../../src/proposals/propose';
import { randomPassage } from '../pedals/random-passage';

const errors = (planned: PlannedPassage): number =>
  judge(planned).filter((p) => p.severity === 'error').length;
const mark = (bar: number, text: string): HarmonyMark => ({
  onset: ticks(bar * 4 * 3360),
  text,
  root: null,
  bass: null,
  kind: 'none',
  degrees: [],
});
/** The neighbours of one kind, with a plan that must exist. */
function ofKind(passage: Passage, options: PlanOptions, kind: Change['kind']) {
  return neighbours(passage, options, planPassage(passage, options), { most: 40 }).filter(
    (n) => n.change.kind === kind,
  );
}

const fewest: PlanOptions = { ...defaultPlanOptions, aim: 'fewest' };

/** Chords in quarters, by MIDI keys, spelt with sharps first where not natural; null rests. */
function chords(list: readonly (readonly number[] | null)[], milliBpm = 90_000): Passage {
  const plucks = list.flatMap((keys, i) =>
    (keys ?? []).map((midi, n) => {
      const pitch = harpSpellings(midi).find((p) => p.alter !== -1);
      if (pitch === undefined) throw new Error('no spelling');
      return {
        id: `n${i}.${n}`,
        onset: ticks(i * 3360),
        duration: ticks(3360),
        pitch,
        hand: null,
        finger: null,
        technique: 'ordinary' as const,
        dynamic: 'mf' as const,
      };
    }),
  );
  return {
    title: '',
    bars: makeBars({ beats: 4, unit: 4 }, Math.ceil(list.length / 4)),
    tempo: [{ onset: ticks(0), milliBpm }],
    fifths: 0,
    plucks,
    rolls: [{ id: 'r', plucks: plucks.slice(0, 3).map((p) => p.id), direction: 'up' }],
    sweeps: [],
    trembles: [],
    chords: [],
    damps: [],
  };
}

describe('neighbours', () => {
  // C: every letter natural is needed before and after one F sharp in the second bar.
  const all = [[48, 52, 55], [50, 53, 57], [59, 64, 67], null];
  const passage = chords([...all, [50, 54, 57], [50, 57, 62], null, null, ...all]);

  it('finds the one F♯ that costs two moves: without it, or with another tone of its chord, none', () => {
    const answer = planPassage(passage, fewest);
    if (answer.status === 'unplayable') throw new Error('playable');
    expect(answer.price.moves).toBe(2);
    const found = neighbours(passage, fewest, answer);
    const best = found[0];
    expect([best?.saves.moves, best?.onset, best?.price.moves]).toEqual([2, 4 * 3360, 0]);
    const left = found.find((n) => n.change.kind === 'leave-out' && n.saves.moves === 2);
    expect(left?.change.ids).toEqual(['n4.1']);
    expect(left?.change.from.map(pitchName)).toEqual(['F♯3']);
    expect(left?.passage.plucks).toHaveLength(passage.plucks.length - 1);
  });

  it('replaces by a tone of the same bar, near, on a string that needs no move', () => {
    const tight = chords([...all, [50, 54, 69], [50, 57, 62], null, null, ...all]);
    const answer = planPassage(tight, fewest);
    const found = neighbours(tight, fewest, answer).filter(
      (n) => n.change.kind === 'replace' && n.change.ids.join() === 'n4.1',
    );
    expect(found.length).toBeGreaterThan(0);
    for (const { change, saves } of found) {
      if (change.kind !== 'replace') throw new Error('replace');
      expect(saves.moves).toBe(2);
      expect(change.to.map(pitchName)).toEqual(['A3']);
    }
  });

  it('a chord a beat later gives the feet time', () => {
    // C♯ and D♯, then C and D: two moves of the left foot within 0.2 s.
    const fast = chords([[49, 51, 55], [48, 50, 55], null, null], 300_000);
    const options = { ...fewest, keepSpelling: true };
    const answer = planPassage(fast, options);
    const found = neighbours(fast, options, answer);
    const late = found.filter((n) => n.change.kind === 'delay');
    expect(late.length).toBeGreaterThan(0);
    for (const n of late) expect([n.mends, n.onset]).toEqual([true, 3360]);
  });

  it('what cannot be played gets a change that has been tried and works', () => {
    const clash = chords([[48, 49, 55], [50, 57, 62], [55, 56, 62], null]);
    const options = { ...fewest, keepSpelling: true };
    const answer = planPassage(clash, options);
    expect(answer.status).toBe('unplayable');
    const found = neighbours(clash, options, answer);
    expect(found).toHaveLength(1);
    expect(found[0]?.mends).toBe(true);
    expect(found[0]?.change.ids).toHaveLength(2);
    expect(planPassage(found[0]?.passage as Passage, options).status).toBe('optimal');
  });

  it('holds what it says, on seeded passages, and keeps to its limits', () => {
    const random = seededRandom('neighbours');
    let offered = 0;
    for (let i = 0; i < 4; i++) {
      const asked = randomPassage(random, { onsets: 12, most: 3, milliBpm: random.pick([72_000, 132_000]) });
      const options = { ...fewest, start: random.chance(1, 2) ? keySetting(0) : null };
      const answer = planPassage(asked, options);
      const found = neighbours(asked, options, answer, { most: 5 });
      if (i === 0) expect(neighbours(asked, options, answer, { most: 5 })).toEqual(found);
      expect(answer.status === 'unplayable' || found.length <= 5).toBe(true);
      for (const n of found) {
        offered++;
        const again = planPassage(n.passage, options);
        if (again.status === 'unplayable') throw new Error('offered, and cannot be played');
        expect(again.price).toEqual(n.price);
        if (answer.status === 'unplayable') expect(n.mends).toBe(true);
        else {
          expect(answer.price.moves - again.price.moves).toBe(n.saves.moves);
          expect(answer.price.hasty - again.price.hasty).toBe(n.saves.hasty);
          expect(n.saves.moves > 0 || n.saves.hasty > 0 || n.saves.points >= 28).toBe(true);
        }
        // Whole, and no harder for the hands than before.
        expect(n.planned).toEqual(again.planned);
        if (answer.status !== 'unplayable')
          expect(errors(again.planned)).toBeLessThanOrEqual(errors(answer.planned));
        for (const roll of n.passage.rolls)
          for (const id of roll.plucks) expect(n.passage.plucks.some((p) => p.id === id)).toBe(true);
      }
    }
    expect(offered).toBeGreaterThan(5);
    expect(neighbours(passage, fewest, planPassage(passage, fewest), { work: 0 })).toEqual([]);
  });
});

describe('every kind of change', () => {
  const c = [[48, 52, 55], [60], [64], [67]];
  /** C, one bar with an E flat and an A flat in it, C again. */
  const minor = (marks: HarmonyMark[]): Passage => ({
    ...chords([...c, [53, 56, 60], [65], [72], [65], ...c]),
    chords: marks,
  });
  const natural: PlanOptions = { ...fewest, start: keySetting(0), end: keySetting(0) };
  const asked = minor([mark(0, 'C'), mark(1, 'Fm'), mark(2, 'C')]);

  it('holds the old harmony over, and moves or drops the symbol with it', () => {
    const found = ofKind(asked, natural, 'hold');
    expect(found.length).toBeGreaterThan(0);
    for (const { change, saves, passage } of found) {
      if (change.kind !== 'hold') throw new Error('hold');
      expect([change.chord, change.over]).toEqual(['C', 'Fm']);
      expect(saves.moves).toBeGreaterThan(0);
      for (const p of change.to) expect([0, 4, 7]).toContain(midiOf(p) % 12);
      for (const p of change.from) expect([0, 4, 7]).not.toContain(midiOf(p) % 12);
      const at = change.until === null ? undefined : change.until / 3360;
      expect(passage.chords.map((m) => m.onset / 3360)).toEqual(at === undefined ? [0, 8] : [0, at, 8]);
    }
    // In place of the whole bar: no A flat is left.
    const whole = found.find((n) => n.change.kind === 'hold' && n.change.until === null);
    expect(whole?.price.moves).toBe(0);
  });

  it('offers another tension where the chord has a symbol, on a string that is set', () => {
    // A flat as a flat ninth over G7, where A natural would need no move.
    const altered: Passage = {
      ...chords([[57], [62], [65], [69], [55, 59, 65], [68], [71], null, [57], [62], [65], [69]]),
      chords: [mark(0, 'Dm'), mark(1, 'G7b9'), mark(2, 'Dm')],
    };
    const found = ofKind(altered, natural, 'tension');
    expect(found.length).toBeGreaterThan(0);
    for (const { change, saves, tone } of found) {
      if (change.kind !== 'tension') throw new Error('tension');
      expect(tone).toEqual({ chord: 'G7b9', degree: 9 });
      expect(saves.moves).toBe(2);
      // Thirteenth, sharp eleventh and sharp ninth of G: of these only E needs no move.
      expect(change.to.map((p) => midiOf(p) % 12)).toEqual([4]);
    }
  });

  it('names the degree that is lost, and what loses least comes first', () => {
    const found = neighbours(asked, natural, planPassage(asked, natural), { most: 40 });
    const left = found.filter((n) => n.change.kind === 'leave-out' || n.change.kind === 'replace');
    expect(left.length).toBeGreaterThan(0);
    for (const n of left) if (n.change.from[0]?.letter === 'A') expect(n.tone?.degree).toBe(3);
  });

  it('spells a fixed note otherwise', () => {
    const spelt = chords([[63], [64], [66], null, [63], [64], [66], null]);
    // D sharp each time, but E flat once.
    const plucks = spelt.plucks.map((p, i) =>
      i === 3 ? { ...p, pitch: { letter: 'E', alter: -1, octave: 4 } as const, fixed: true } : p,
    );
    const options = { ...fewest, keepSpelling: true };
    const found = ofKind({ ...spelt, plucks }, options, 'respell');
    expect(found.map((n) => n.change.kind === 'respell' && n.change.to.map(pitchName))).toContainEqual([
      'D♯4',
    ]);
    expect(Math.max(...found.map((n) => n.saves.moves))).toBe(2);
  });

  it('changes two notes of a figure about', () => {
    // F, F sharp, F, F sharp with G between: the two in the middle about, and two moves are gone.
    const figure = chords([[65], [54], [53], [66], [67], null, null, null]);
    const options = { ...fewest, keepSpelling: true };
    const found = ofKind(figure, options, 'swap');
    expect(found.length).toBeGreaterThan(0);
    for (const n of found) {
      expect(n.passage.plucks.map((p) => midiOf(p.pitch)).sort()).toEqual(
        figure.plucks.map((p) => midiOf(p.pitch)).sort(),
      );
      expect(n.saves.moves).toBeGreaterThan(0);
    }
  });

  it('a discless string that is wanted two ways: one of the notes an octave away', () => {
    const low = chords([[24], [26], [25], [64]]);
    const answer = planPassage(low, fewest);
    expect(answer.status).toBe('unplayable');
    const found = neighbours(low, fewest, answer, { most: 40 }).filter((n) => n.change.kind === 'octave');
    expect(found.length).toBeGreaterThan(0);
    for (const n of found) expect(planPassage(n.passage, fewest).status).toBe('optimal');
  });

  it('lets a glissando sound a tension where that saves its moves', () => {
    const bars = chords([[60, 64, 67], null, null, null, null, null, null, null, [54], null, null, null]);
    const only = [...glissSettings([6, 10, 1, 4])].map((g) => g.setting);
    const swept: Passage = {
      ...bars,
      chords: [mark(0, 'C'), mark(1, 'F#7'), mark(2, 'C')],
      sweeps: [
        {
          id: 's',
          onset: ticks(4 * 3360),
          duration: ticks(3360),
          hand: 'R',
          from: 14,
          to: 35,
          settings: only,
          dynamic: 'f',
        },
      ],
    };
    const options = { ...fewest, start: keySetting(0) };
    const answer = planPassage(swept, options);
    if (answer.status === 'unplayable') throw new Error('playable');
    const [change] = waysOf(answer.planned, harmoniesOf(swept), options)
      .map((w) => w.change)
      .filter((c) => c.kind === 'sweep');
    if (change === undefined) throw new Error('sweep');
    const again = planPassage(withChange(swept, change), options);
    if (again.status === 'unplayable') throw new Error('playable');
    expect(again.price.moves).toBeLessThan(answer.price.moves);
    const stands = settingAt(again.planned, ticks(4 * 3360));
    expect(only).not.toContain(stands);
    expect(change.settings).toContain(stands);
    // Still an F♯7: its third, seventh and root sound.
    const sounds = (['C', 'D', 'E', 'F', 'G', 'A', 'B'] as const).map((l) =>
      pitchClass(l, positionOf(stands, l)),
    );
    for (const pc of [6, 10, 4]) expect(sounds).toContain(pc);
  });
});

describe('harmonies', () => {
  it('reads the symbols where there are some, and leaves N.C. out', () => {
    const marked = {
      ...chords([[60], null, null, null, [62], null, null, null]),
      chords: [mark(0, 'Dm7/C'), mark(1, 'N.C.')],
    };
    const found = harmoniesOf(marked);
    expect(found.map((h) => [h.name, h.from, h.to, h.written])).toEqual([['Dm7/C', 0, 4 * 3360, true]]);
    expect(found[0]?.tones.map((t) => t.pc)).toEqual([2, 5, 9, 0]);
  });

  it('recognises chords from their notes, broken and with a passing note', () => {
    const played = chords([
      ...[[48, 64], [67], [72], [76]],
      ...[[45, 64], [69], [72], [76]],
      ...[[50, 65], [69], [72], [74]],
      ...[[43, 65], [71], [72], [74]],
      ...[[48, 64, 67], null, [72], [76]],
    ]);
    expect(harmoniesOf(played).map((h) => [h.name, h.from / (4 * 3360)])).toEqual([
      ['C', 0],
      ['Am', 1],
      ['Dm7', 2],
      ['G7', 3],
      ['C', 4],
    ]);
  });

  it('names most chords of proposals as they were asked for, without looking at their symbols', () => {
    const text = 'C | Am | Dm7 | G7 | C | F | Dm7 G7 | C';
    const { proposals } = propose({
      text,
      metre: { beats: 4, unit: 4 },
      milliBpm: 90_000,
      seed: '3',
      count: 6,
      families: [],
      start: null,
      aim: 'practical',
      key: null,
      title: '',
    });
    expect(proposals.length).toBe(6);
    let [right, all] = [0, 0];
    for (const { planned } of proposals) {
      const asked = harmoniesOf(planned.passage);
      const heard = harmoniesOf({ ...planned.passage, chords: [] });
      for (const h of asked) {
        if (!planned.passage.plucks.some((p) => p.onset >= h.from && p.onset < h.to)) continue;
        all++;
        const tones = new Set(harmonyAt(heard, h.from)?.tones.map((t) => t.pc));
        if (h.tones.filter((t) => tones.has(t.pc)).length >= 3) right++;
      }
    }
    expect(all).toBeGreaterThan(30);
    expect(right / all).toBeGreaterThan(0.8);
  });

  it('works for a proposal, which is planned anew', () => {
    const [proposal] = propose({
      text: 'Cmaj7 | A7b9 | Dm9 | G13',
      metre: { beats: 4, unit: 4 },
      milliBpm: 90_000,
      seed: '7',
      count: 1,
      families: ['wave'],
      start: null,
      aim: 'practical',
      key: null,
      title: '',
    }).proposals;
    if (proposal === undefined) throw new Error('no proposal');
    const found = neighboursOf(proposal.planned, defaultPlanOptions);
    expect(found.length).toBeGreaterThan(0);
    for (const n of found) expect(n.saves.points).toBeGreaterThan(0);
  });
});
