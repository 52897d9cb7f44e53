// Every kind of small change that saves pedal moves: each is found where it was planted.
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import type { HarmonyMark, Passage } from '../../src/music/passage';
import { midiOf, pitchClass, pitchName } from '../../src/music/pitch';
import { keySetting, positionOf } from '../../src/harp/setting';
import { settingAt } from '../../src/harp/planned';
import { withChange } from '../../src/proposals/changes';
import { waysOf } from '../../src/proposals/ways';
import { planPassage } from '../../src/pedals/plan';
import type { PlanOptions } from '../../src/pedals/types';
import { glissSettings } from '../../src/pedals/glissando';
import { harmoniesOf } from '../../src/proposals/harmony-here';
import { neighbours } from '../../src/proposals/neighbours';

import { chords, fewest, mark, ofKind } from './_quarters';

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
