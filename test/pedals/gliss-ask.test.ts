// Glissando settings as they are asked for: allowed pitches, ends, fingers; against plain searches and worked cases.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { main } from '../../src/cli/main';
import {
  NATURAL_SETTING,
  SETTING_COUNT,
  keySetting,
  positionOf,
  settingDistance,
  settingName,
} from '../../src/harp/setting';
import { stringOf } from '../../src/harp/strings';
import { LETTERS, type Letter, type Pitch, pitchClass } from '../../src/music/pitch';
import { coverage, glissAnswer } from '../../src/pedals/gliss-ask';
import { SHAPES, parallelSound, shapesUnder, soundName } from '../../src/pedals/gliss-fingers';
import { census, glissSettings } from '../../src/pedals/glissando';

/** The keys of strings from one to another, from first principles. */
function keys(setting: number, low: number, high: number): number[] {
  const naturals = [0, 2, 4, 5, 7, 9, 11];
  return Array.from({ length: high - low + 1 }, (_, i) => low + i).map(
    (s) =>
      24 +
      12 * Math.floor(s / 7) +
      (naturals[s % 7] as number) +
      positionOf(setting, LETTERS[s % 7] as Letter),
  );
}
const classes = (list: readonly number[]): number[] =>
  [...new Set(list.map((k) => k % 12))].sort((a, b) => a - b);
const pitch = (letter: Letter, octave: number, alter: -1 | 0 | 1 = 0): Pitch => ({ letter, alter, octave });
const shape = (name: string) => SHAPES.find((s) => s.name === name) ?? null;

describe('exact and within a set', () => {
  it('gives the census’s settings in the same order for any content that can be set', () => {
    let looked = 0;
    for (const bits of [...census().keys()].slice(0, 60)) {
      const pcs = Array.from({ length: 12 }, (_, pc) => pc).filter((pc) => bits & (1 << pc));
      const found = glissAnswer({ content: pcs, standing: keySetting(-3) });
      expect(found.settings.map((s) => s.setting)).toEqual(
        glissSettings(pcs, keySetting(-3)).map((s) => s.setting),
      );
      looked += found.settings.length;
    }
    expect(looked).toBeGreaterThan(60);
  });

  it('finds what a plain search finds within content and allowed, and says what else sounds', () => {
    const random = seededRandom('allowed');
    for (let i = 0; i < 12; i++) {
      const root = random.below(12);
      const content = [0, 4, 7, 10].map((n) => (n + root) % 12);
      const allowed = [1, 2, 3, 6, 8, 9].filter(() => random.chance(2, 3)).map((n) => (n + root) % 12);
      const plain: number[] = [];
      for (let s = 0; s < SETTING_COUNT; s++) {
        const sounds = LETTERS.map((l) => pitchClass(l, positionOf(s, l)));
        const inside = sounds.every((pc) => content.includes(pc) || allowed.includes(pc));
        if (inside && content.every((pc) => sounds.includes(pc))) plain.push(s);
      }
      const { settings, nearest } = glissAnswer({ content, allowed });
      expect(settings.map((s) => s.setting).sort((a, b) => a - b)).toEqual(plain);
      for (const s of settings) {
        expect([...classes([...content, ...s.also])]).toEqual(classes(keys(s.setting, 7, 13)));
        expect(s.exact).toBe(s.also.length === 0);
        expect(s.moves).toBe(settingDistance(s.setting, NATURAL_SETTING));
      }
      const order = settings.map((s) => [s.exact ? 0 : 1, s.crosses ? 1 : 0, s.moves]);
      expect(order).toEqual([...order].sort((a, b) => a[0]! - b[0]! || a[1]! - b[1]! || a[2]! - b[2]!));
      expect(nearest.length > 0).toBe(settings.length === 0);
    }
  });

  it('leaves out crossing settings on request', () => {
    const scale = [0, 4, 5, 7, 9, 11];
    const all = glissAnswer({ content: scale }).settings;
    const smooth = glissAnswer({ content: scale, crossing: false }).settings;
    expect(smooth).toEqual(all.filter((s) => !s.crosses));
  });

  it('puts purity or coverage first where none is right: C major, of which no D or A sounds', () => {
    const pure = glissAnswer({ content: [0, 4, 7], most: 30 }).nearest;
    const fault = (s: (typeof pure)[number]): number[] => [s.foreign.length, s.missing.length];
    expect(pure).toHaveLength(30);
    expect(fault(pure[0]!)).toEqual([2, 0]);
    // G–G♯–A is in no setting: purity may drop one of the three, coverage cannot do better.
    const cluster = [7, 8, 9];
    const [tight] = glissAnswer({ content: cluster, prefer: 'coverage' }).nearest;
    expect(tight?.missing).toHaveLength(1);
    expect(coverage(tight!, cluster)).toBeCloseTo(2 / 3, 12);
    const best = Math.min(
      ...Array.from({ length: SETTING_COUNT }, (_, s) => {
        const sounds = LETTERS.map((l) => pitchClass(l, positionOf(s, l)));
        return sounds.filter((pc, i) => sounds.indexOf(pc) === i && !cluster.includes(pc)).length;
      }).filter((n) => n > 0),
    );
    expect(glissAnswer({ content: cluster }).nearest[0]?.foreign).toHaveLength(best);
  });
});

describe('between two pitches', () => {
  it('binds the letters swept and no others, and begins and ends on the pitches named, on either string', () => {
    const standing = keySetting(-7);
    const from = pitch('C', 4);
    const to = pitch('G', 4);
    // Plain search over all settings that leave the unswept letters as they stand.
    const content = [0, 2, 4, 6, 7];
    const { settings } = glissAnswer({ content, ends: { from, to }, standing });
    expect(settings.length).toBeGreaterThan(0);
    const plain = new Set<string>();
    for (let s = 0; s < SETTING_COUNT; s++) {
      for (const low of [stringOf(from), stringOf(pitch('B', 3))]) {
        const high = stringOf(to);
        const swept = new Set(
          Array.from({ length: high - low + 1 }, (_, i) => LETTERS[(low + i) % 7] as Letter),
        );
        const sounds = keys(s, low, high);
        const stays = LETTERS.every((l) => swept.has(l) || positionOf(s, l) === -1);
        if (!stays || sounds[0] !== 60 || sounds.at(-1) !== 67) continue;
        if (classes(sounds).join() === content.join()) plain.add(`${s} ${low}`);
      }
    }
    expect(new Set(settings.map((s) => `${s.setting} ${s.from}`))).toEqual(plain);
    expect(plain.size).toBeGreaterThan(1);
  });

  it('two notes alone: from C4 to E4 never, as no D sounds C or E; from E4 to G4 with F flat', () => {
    expect(
      glissAnswer({ content: [0, 4], ends: { from: pitch('C', 4), to: pitch('E', 4) } }).settings,
    ).toEqual([]);
    const found = glissAnswer({ content: [4, 7], ends: { from: pitch('E', 4), to: pitch('G', 4) } });
    expect(found.settings[0]?.exact).toBe(true);
    expect(settingName(found.settings[0]!.setting)).toBe('D C B | E F♭ G A');
  });

  it('says where an end is off the harp', () => {
    const ends = { from: pitch('C', 4), to: pitch('B', 7) };
    expect(glissAnswer({ content: [0, 2, 4, 5, 7, 9, 11], ends })).toEqual({
      settings: [],
      nearest: [],
      outOfRange: true,
    });
  });

  it('two fingers touch the letters of both', () => {
    // Thirds from C4 to D4 touch C D E F; B, G and A stay as they stand.
    const ends = { from: pitch('C', 4), to: pitch('D', 4) };
    const { settings } = glissAnswer({
      content: [0, 2, 4, 6],
      ends,
      shape: shape('thirds'),
      standing: keySetting(-7),
    });
    expect(settings.map((s) => settingName(s.setting))).toContain('D C B♭ | E F♯ G♭ A♭');
    const [first] = settings.filter((s) => s.from === stringOf(ends.from));
    expect(first?.parallel?.sounds).toEqual([{ name: 'major third', times: 2 }]);
    expect(first?.parallel?.uniform).toBe(true);
  });
});

describe('fingers', () => {
  it('three fingers on C dim7: diminished triads at every string (Berlioz, Grand traité, p. 90)', () => {
    const [setting] = glissSettings([0, 3, 6, 9]);
    expect(settingName(setting!.setting)).toBe('D♯ C B♯ | E♭ F♯ G♭ A');
    const triads = parallelSound(setting!.setting, shape('triads')!, 7, 13);
    expect(triads.sounds).toEqual([{ name: 'diminished triad', times: 7 }]);
    expect([triads.uniform, triads.collapsed]).toEqual([true, 0]);
  });

  it('the natural scale: three major and four minor thirds, triads on I IV V major, on VII diminished', () => {
    expect(parallelSound(NATURAL_SETTING, shape('thirds')!, 7, 13).sounds).toEqual([
      { name: 'minor third', times: 4 },
      { name: 'major third', times: 3 },
    ]);
    expect(parallelSound(NATURAL_SETTING, shape('sixths')!, 7, 13).sounds).toEqual([
      { name: 'major sixth', times: 4 },
      { name: 'minor sixth', times: 3 },
    ]);
    for (const name of ['triads', 'sixth-chords', 'six-four-chords'])
      expect(parallelSound(NATURAL_SETTING, shape(name)!, 7, 13).sounds).toEqual([
        { name: 'major triad', times: 3 },
        { name: 'minor triad', times: 3 },
        { name: 'diminished triad', times: 1 },
      ]);
    expect(soundName([60, 64, 67])).toBe('major triad');
    expect(soundName([60, 60])).toBe('unison');
    expect(soundName([60, 59])).toBe('minor second below');
  });

  it('whole tones and doubled strings: thirds collapse nowhere, shapes are told with the plainest first', () => {
    const [whole] = glissSettings([0, 2, 4, 6, 8, 10]);
    for (const p of [...shapesUnder(whole!.setting, 2), ...shapesUnder(whole!.setting, 3)]) {
      expect(p.sounds.reduce((n, s) => n + s.times, 0)).toBe(7);
      expect(p.collapsed).toBe(0);
    }
    // C pentatonic doubles C and E: parallel seconds would collapse, and two neighbours are level.
    const [five] = glissAnswer({ content: [0, 2, 4, 7, 9] }).settings;
    expect(five?.doubled).toBe(2);
  });
});

describe('in the terminal', () => {
  const call = (...args: string[]) => {
    let [out, err] = ['', ''];
    const code = main(['gliss', ...args], { out: (t) => (out += t), err: (t) => (err += t) });
    return { code, out, err };
  };
  const json = (...args: string[]) => JSON.parse(call(...args, '--json').out);

  it('takes allowed notes, ends, fingers, and keeps the keys of the contract', () => {
    const { settings } = json('C', '--allow', 'D A');
    expect(settings[0]).toMatchObject({ D: 0, C: 0, B: 1, E: 0, F: -1, G: 0, A: 0, exact: false, moves: 2 });
    expect(settings[0].also).toEqual(['D', 'A']);
    for (const s of settings) {
      for (const l of LETTERS) expect([-1, 0, 1]).toContain(s[l]);
      expect(typeof s.crosses).toBe('boolean');
    }
    const swept = json('E G', '--from', 'E4', '--to', 'G4');
    expect(swept.settings[0]).toMatchObject({ exact: true, from: 'E4', to: 'G4', F: -1 });
    const three = json('Cdim7', '--fingers', '3', '--shape', 'triads');
    expect(three.settings[0].shapes).toEqual([
      { shape: 'triads', sounds: [{ name: 'diminished triad', times: 7 }], uniform: true, collapsed: 0 },
    ]);
    expect(json('C', '--prefer', 'coverage').nearest[0].missing).toEqual([]);
  });

  it('answers bad input in one sentence', () => {
    for (const args of [
      ['C', '--from', 'C4'],
      ['C', '--from', 'C4', '--to', 'C9'],
      ['C', '--from', 'C4', '--to', 'B7'],
      ['C', '--fingers', '4'],
      ['C', '--shape', 'sevenths'],
      ['C', '--fingers', '3', '--shape', 'thirds'],
      ['C', '--prefer', 'luck'],
      ['C', '--allow', 'H!'],
    ]) {
      const { code, out, err } = call(...args);
      expect([args, code, out]).toEqual([args, 2, '']);
      expect(err.trim().split('\n')).toHaveLength(1);
    }
  });
});
