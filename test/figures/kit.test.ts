// Spelling, stretches, voicings, endings and the check of hands, each by itself.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { seededRandom } from '../../src/base/random';
import { drawEnding, openEndings, timeEnding } from '../../src/figures/ending';
import { readCell } from '../../src/figures/cells';
import { checkHands, repeatTime } from '../../src/figures/limits';
import { shortest } from '../../src/figures/path';
import { compassOf } from '../../src/figures/register';
import { segmentsOf, stepFor } from '../../src/figures/segments';
import { ladder, spellChord } from '../../src/figures/spelling';
import { settingsFor } from '../../src/figures/sweeps';
import { handShape, leftHands } from '../../src/figures/hand-forms';
import { lineCost, voice } from '../../src/figures/voicing';
import {
  SETTABLE,
  bitCount,
  pitchClassMask,
  settableTogether,
  settingCrosses,
  settingMask,
  sweepSettings,
} from '../../src/harp/sweep-settings';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { stringOf } from '../../src/harp/strings';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck } from '../../src/music/passage';
import { type Pitch, asciiPitchName, midiOf } from '../../src/music/pitch';
import { METRES, PROGRESSIONS, chordNamed, progressionOf } from './progressions';

const HARP = compassOf(CONCERT_HARP);
const FOUR = { beats: 4, unit: 4 };

describe('what settings sound', () => {
  it('has the census of the published enumeration (Gotham & Gunn, MTO 22.4, repeated)', () => {
    const sizes = [...SETTABLE].map(bitCount);
    const count = (n: number): number => sizes.filter((s) => s === n).length;
    expect([SETTABLE.size, count(4), count(5), count(6), count(7)]).toEqual([977, 25, 178, 415, 359]);
  });

  it('bars G, G sharp and A together, and no other three neighbours', () => {
    const barred = Array.from({ length: 12 }, (_, pc) => pc).filter(
      (pc) => !settableTogether(pitchClassMask([pc, (pc + 1) % 12, (pc + 2) % 12])),
    );
    expect(barred).toEqual([7]);
  });

  it('finds settings inside a set, those without crossing strings first', () => {
    const wholeTone = pitchClassMask([0, 2, 4, 6, 8, 10]);
    const found = sweepSettings(wholeTone, wholeTone);
    expect(found.length).toBeGreaterThan(0);
    for (const s of found) expect(settingMask(s)).toBe(wholeTone);
    const crossing = found.map(settingCrosses);
    expect(crossing).toEqual([...crossing].sort((a, b) => Number(a) - Number(b)));
    expect(sweepSettings(pitchClassMask([0, 4, 7]), 0)).toEqual([]);
  });

  it.each(['E7', 'Cdim7', 'Bbm7', 'Dm7', 'C', 'G7alt', 'F#m7b5', 'G5', 'Aaug', 'Ebmaj7'])(
    'offers a sweep on %s that sounds its root and third and nothing a semitone over the third',
    (text) => {
      const chord = chordNamed(text);
      for (const coloured of [false, true]) {
        const settings = settingsFor(chord, coloured, 0);
        expect(settings.length).toBeGreaterThan(0);
        for (const s of settings) {
          const mask = settingMask(s);
          const guide = chord.tones.filter((t) => t.degree === 1 || t.degree === 3 || t.degree === 7);
          for (const t of guide) expect((mask >> t.pc) & 1, `${text} ${t.degree}`).toBe(1);
        }
      }
    },
  );
});

describe('spelling', () => {
  const names = (text: string): string[] =>
    ladder(spellChord(chordNamed(text)).tones, 21, 27).map(asciiPitchName);

  it('keeps the symbol’s own spelling where strings hold it', () => {
    expect(names('Ebmaj7')).toEqual(['D4', 'Eb4', 'G4', 'Bb4']);
    expect(names('C#m')).toEqual(['C#4', 'E4', 'G#4']);
  });

  it('respells double signs and letters wanted twice', () => {
    expect(names('Ebm7b5').every((n) => !/bb|##/.test(n))).toBe(true);
    const sharp9 = spellChord(chordNamed('E7#9'));
    expect(new Set(sharp9.tones.map((t) => t.letter)).size).toBe(sharp9.tones.length);
  });

  it('leaves out what no setting can hold, and never root, third or seventh before a tension', () => {
    for (const root of ['C', 'Db', 'D', 'Eb', 'E', 'F', 'F#', 'G', 'Ab', 'A', 'Bb', 'B']) {
      for (const kind of ['7alt', '7#9', '13', 'm11', 'dim7', 'maj7#11']) {
        const chord = chordNamed(root + kind);
        const spelled = spellChord(chord);
        const pcs = [spelled.bass, ...spelled.tones].map((t) => t.pc);
        expect(settableTogether(pitchClassMask(pcs))).toBe(true);
        const letters = new Map([spelled.bass, ...spelled.tones].map((t) => [t.letter, t.alter]));
        for (const t of spelled.tones) expect(letters.get(t.letter)).toBe(t.alter);
        const kept = new Set(spelled.tones.map((t) => t.degree));
        for (const d of [3, 7]) if (chord.tones.some((t) => t.degree === d)) expect(kept.has(d)).toBe(true);
      }
    }
  });
});

describe('stretches', () => {
  it('cuts at bars, joins a chord said twice in a bar, marks the last and leaves N.C. out', () => {
    const p = progressionOf('C C | N.C. | G / Am F | F', FOUR);
    const s = segmentsOf(p);
    expect(s.map((x) => [x.chord.text, x.onset / 3360, x.duration / 3360, x.fresh, x.last])).toEqual([
      ['C', 0, 4, true, false],
      ['G', 8, 2, true, false],
      ['Am', 10, 1, true, false],
      ['F', 11, 1, true, false],
      ['F', 12, 4, false, true],
    ]);
  });

  it('cuts a chord of several bars at each bar line', () => {
    const p = progressionOf('C | C', FOUR);
    const long = { ...p, chords: [{ ...(p.chords[0] as (typeof p.chords)[0]), duration: ticks(26880) }] };
    expect(segmentsOf(long).map((s) => [s.bar, s.duration])).toEqual([
      [0, 13440],
      [1, 13440],
    ]);
  });

  it('takes steps that divide the stretch and are never shorter than wished', () => {
    expect(stepFor(13440, 840)).toBe(840);
    expect(stepFor(5040, 1120)).toBe(1260);
    expect(stepFor(4480, 840)).toBe(1120);
    expect(stepFor(16800, 6720)).toBe(16800);
    expect(stepFor(2688, 840)).toBe(2688);
    for (const metre of METRES) {
      for (const text of PROGRESSIONS)
        for (const s of segmentsOf(progressionOf(text, metre)))
          for (const wished of [420, 560, 840, 1120, 1680, 3360, 5040, 6720]) {
            const step = stepFor(s.duration, wished);
            expect(s.duration % step).toBe(0);
            expect(step >= wished || step === s.duration).toBe(true);
          }
    }
  });
});

describe('voicings', () => {
  const plan = {
    left: { form: 'low', notes: 3, window: [7, 14] },
    right: { form: 'close', notes: 4, window: [16, 33], joined: false },
    aim: 28,
    rootless: true,
  } as const;

  it('keeps to hands, to the bass and above low thirds', () => {
    let seen = 0;
    for (const text of PROGRESSIONS) {
      const segments = segmentsOf(progressionOf(text, FOUR));
      voice(segments, plan, HARP).forEach(({ left, right }, i) => {
        const s = segments[i];
        expect(midiOf(left[0] as Pitch) % 12).toBe(s?.spelled.bass.pc);
        expect(handShape(left) && handShape(right)).toBe(true);
        expect(midiOf(right[0] as Pitch)).toBeGreaterThan(midiOf(left.at(-1) as Pitch));
        expect(stringOf(right[0] as Pitch)).toBeGreaterThan(stringOf(left.at(-1) as Pitch));
        for (let k = 1; k < left.length; k++) {
          const low = midiOf(left[k - 1] as Pitch);
          if (low < 48) expect(midiOf(left[k] as Pitch) - low).toBeGreaterThanOrEqual(5);
        }
        seen++;
      });
    }
    expect(seen).toBeGreaterThan(50);
  });

  it('moves the top line less than first choices would', () => {
    let [ours, first] = [0, 0];
    for (const text of PROGRESSIONS) {
      const segments = segmentsOf(progressionOf(text, FOUR));
      const tops = voice(segments, plan, HARP).map((v) => midiOf(v.right.at(-1) as Pitch));
      // One chord by itself takes the voicing nearest to the aim.
      const alone = segments.map((s) => midiOf(voice([s], plan, HARP)[0]?.right.at(-1) as Pitch));
      const sum = (line: number[]): number =>
        line.slice(1).reduce((n, m, i) => n + lineCost(m - (line[i] as number)), 0);
      ours += sum(tops);
      first += sum(alone);
    }
    expect(ours).toBeLessThan(first);
  });

  it('gives a chord that lasts another top in the next bar', () => {
    const tops = voice(segmentsOf(progressionOf('C | C | C | C', FOUR)), plan, HARP).map((v) =>
      midiOf(v.right.at(-1) as Pitch),
    );
    for (let i = 1; i < tops.length; i++) expect(tops[i]).not.toBe(tops[i - 1]);
  });

  it('opens a tenth hand to root, fifth and tenth', () => {
    for (const text of ['C', 'Am', 'Ebmaj7', 'F#m7b5']) {
      const chosen = voice(
        segmentsOf(progressionOf(text, FOUR)),
        { ...plan, left: { form: 'tenth', notes: 3, window: [7, 12] } },
        HARP,
      )[0];
      const midi = (chosen?.left ?? []).map(midiOf);
      expect([6, 7]).toContain((midi[1] as number) - (midi[0] as number));
      expect([15, 16]).toContain((midi[2] as number) - (midi[0] as number));
    }
  });

  it('offers octaves, fifths and tenths to a low hand', () => {
    const hands = leftHands(spellChord(chordNamed('C')), { form: 'low', notes: 3, window: [7, 7] });
    expect(hands.map((h) => h.pitches.map(asciiPitchName).join(' '))).toEqual([
      'C2 G2 C3',
      'C2 G2 E3',
      'C2 C3 E3',
    ]);
  });
});

describe('the cheapest path', () => {
  it('costs what brute force finds', () => {
    fc.assert(
      fc.property(
        fc.array(fc.array(fc.nat(20), { minLength: 1, maxLength: 4 }), { minLength: 1, maxLength: 5 }),
        (layers) => {
          const own = (x: number, l: number): number => (x * (l + 3)) % 7;
          const step = (a: number, b: number, l: number): number => Math.abs(a - b) + ((a * b + l) % 5);
          const cost = (path: readonly number[]): number =>
            path.reduce((n, x, l) => n + own(x, l) + (l > 0 ? step(path[l - 1] as number, x, l) : 0), 0);
          const all = layers.reduce<number[][]>(
            (paths, layer) => paths.flatMap((p) => layer.map((x) => [...p, x])),
            [[]],
          );
          const path = shortest(layers, own, step);
          expect(path.length).toBe(layers.length);
          expect(cost(path)).toBe(Math.min(...all.map(cost)));
        },
      ),
      { numRuns: 200, seed: 7 },
    );
  });
});

describe('endings', () => {
  const cells = ['~[L* R*]', 'L1 L2 R1 R2', 'L1 L2 L3 R1 R2 R3 R4 R3'].map((c) => readCell(c) ?? []);

  it('picks one that leaves half of the chord', () => {
    for (let seed = 0; seed < 20; seed++) {
      expect(drawEnding(openEndings(cells, 8, 1), seededRandom(seed)).length).toBeLessThanOrEqual(4);
      expect(drawEnding(openEndings(cells, 0.5, 1), seededRandom(seed)).length).toBe(1);
    }
  });

  it('picks runs that fill whole beats, so that the last stroke falls on one', () => {
    const runs = ['~[L* R*]', 'L1 L2 R1 R2 [L1 R3]', 'L1 L2 L3 R1 R2 R3 [L1 R4]'].map(
      (c) => readCell(c) ?? [],
    );
    for (const [beatSteps, allowed] of [
      [4, [1, 5]],
      [6, [1, 7]],
      [8, [1]],
    ] as const) {
      const seen = new Set<number>();
      for (let seed = 0; seed < 30; seed++)
        seen.add(drawEnding(openEndings(runs, 4 * beatSteps, beatSteps), seededRandom(seed)).length);
      expect([...seen].sort()).toEqual(allowed);
    }
  });

  it('waits with the last stroke for the next beat and holds to the end', () => {
    const timed = timeEnding(readCell('L1 L2 L3 R1 R2 R3') ?? [], 13440, 13440, 840, 3360);
    expect(timed.map((t) => t.onset - 13440)).toEqual([0, 840, 1680, 2520, 3360, 6720]);
    const last = timed.at(-1);
    expect((last?.onset ?? 0) + (last?.duration ?? 0)).toBe(26880);
    expect(timeEnding(readCell('L1 R1') ?? [], 0, 1000, 840, 3360).map((t) => t.onset)).toEqual([0, 500]);
  });
});

describe('the check of hands', () => {
  const pitch = (name: string): Pitch => ({
    letter: name[0] as Pitch['letter'],
    alter: 0,
    octave: Number(name[1]),
  });
  const passage = (
    list: readonly [beat: number, name: string, hand: 'L' | 'R', more?: Partial<Pluck>][],
  ): Passage => ({
    title: '',
    bars: makeBars(FOUR, 4),
    tempo: [{ onset: ticks(0), milliBpm: 60_000 }],
    fifths: 0,
    plucks: list.map(([beat, name, hand, more], i) => ({
      id: `p${i}`,
      onset: ticks(beat * 3360),
      duration: ticks(840),
      pitch: pitch(name),
      hand,
      finger: null,
      technique: 'ordinary',
      dynamic: 'mf',
      ...more,
    })),
    rolls: [],
    sweeps: [],
    trembles: [],
    chords: [],
    damps: [],
  });
  const code = (list: Parameters<typeof passage>[0]): string | null => {
    const checked = checkHands(passage(list), HARP);
    return checked.ok ? null : (checked.problems[0]?.code ?? '');
  };
  const chord = (beat: number, names: string, hand: 'L' | 'R'): Parameters<typeof passage>[0] =>
    names.split(' ').map((n) => [beat, n, hand] as const) as unknown as Parameters<typeof passage>[0];

  it('passes what a hand does', () => {
    expect(
      code([...chord(0, 'C4 E4 G4 C5', 'R'), ...chord(0.5, 'D4 F4 A4 D5', 'R'), [1, 'C2', 'L']]),
    ).toBeNull();
  });

  it('names each breach', () => {
    expect(code(chord(0, 'C4 D4 E4 F4 G4', 'R'))).toBe('four-fingers');
    expect(code(chord(0, 'C4 F5', 'R'))).toBe('span');
    expect(code([[0, 'F2', 'R']])).toBe('right-hand-low');
    expect(code([[0, 'C1', 'L']])).toBe('range');
    expect(
      code([
        [0, 'C4', 'R'],
        [0.05, 'D4', 'R'],
      ]),
    ).toBe('hand-speed');
    expect(
      code([
        [0, 'C4', 'R'],
        [0.25, 'C6', 'R'],
      ]),
    ).toBe('leap');
    expect(code([...chord(0, 'C4 E4', 'R'), ...chord(0.125, 'D4 F4', 'R')])).toBe('placing');
    expect(code([...chord(0, 'C4 E4 G4', 'R'), ...chord(0.3, 'D4 F4 A4', 'R')])).toBe('chord-speed');
    expect(code(['C4', 'D4', 'E4', 'F4', 'G4', 'A4'].map((n, i) => [i / 10, n, 'R'] as const))).toBe(
      'line-speed',
    );
    expect(
      code([
        [0, 'C2', 'L'],
        [0.05, 'C5', 'R'],
      ]),
    ).toBe('both-hands-speed');
    expect(
      code([
        [0, 'C5', 'R'],
        [0.2, 'C5', 'R'],
      ]),
    ).toBe('repeat');
    expect(
      code([
        [0, 'C5', 'L'],
        [0, 'C5', 'R'],
      ]),
    ).toBe('one-string-twice');
    const etouffe = { technique: 'etouffe' } as const;
    expect(
      code([
        [0, 'C3', 'L', etouffe],
        [0.3, 'D3', 'L', etouffe],
      ]),
    ).toBe('etouffe-speed');
    expect(code([[0, 'A5', 'R', { technique: 'table' }]])).toBe('table-range');
    const harmonic = { technique: 'harmonic' } as const;
    expect(
      code([
        [0, 'C4', 'R', harmonic],
        [0.4, 'D4', 'R', harmonic],
      ]),
    ).toBe('harmonic-speed');
  });

  it('asks 0.25 s of a string above C4 and 0.4 s below C3', () => {
    expect(repeatTime(35)).toBe(250_000);
    expect(repeatTime(7)).toBe(400_000);
    for (let s = 1; s < 46; s++) expect(repeatTime(s)).toBeLessThanOrEqual(repeatTime(s - 1));
  });
});
