// Forms of the hands, voicings with lines that move little, endings.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { drawEnding, openEndings, timeEnding } from '../../src/figures/ending';
import { readCell } from '../../src/figures/cells';
import { shortest } from '../../src/figures/path';
import { compassOf } from '../../src/figures/register';
import { segmentsOf } from '../../src/figures/segments';
import { spellChord } from '../../src/figures/spelling';
import { handShape } from '../../src/figures/hand-forms';
import { leftHands } from '../../src/figures/left-hands';
import { rightHands } from '../../src/figures/right-hands';
import { lineCost, voice } from '../../src/figures/voicing';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { stringOf } from '../../src/harp/strings';
import { type Pitch, asciiPitchName, midiOf } from '../../src/music/pitch';
import { PROGRESSIONS, chordNamed, progressionOf } from './progressions';

const HARP = compassOf(CONCERT_HARP);
const FOUR = { beats: 4, unit: 4 };

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

describe('forms of the hands', () => {
  const spelled = spellChord(chordNamed('C'));
  const names = (hands: readonly { readonly pitches: readonly Pitch[] }[]): string[] =>
    hands.map((h) => h.pitches.map(asciiPitchName).join(' '));
  const bass = leftHands(spelled, { form: 'bass', notes: 1, window: [7, 7] })[0];

  it('walk up in lines, double the left hand and interlock with it', () => {
    expect(names(leftHands(spelled, { form: 'run', notes: 5, window: [7, 7] }))).toEqual(['C2 E2 G2 C3 E3']);
    if (bass === undefined) throw new Error('no bass');
    const double = { form: 'double', notes: 1, window: [14, 40], joined: false } as const;
    expect(names(rightHands(spelled, double, bass, false))).toEqual(['C3']);
    const [wide] = leftHands(spelled, { form: 'every-other', notes: 2, window: [21, 21] }).filter(
      (h) => asciiPitchName(h.pitches[1] as Pitch) === 'G4',
    );
    if (wide === undefined) throw new Error('no hand to lie in');
    const locked = rightHands(spelled, { ...double, form: 'interlocked' }, wide, false);
    expect(names(locked)).toContain('E4 C5');
  });

  it('stand on the bass alone where the right hand plays by itself', () => {
    if (bass === undefined) throw new Error('no bass');
    const spec = { form: 'free', notes: [3, 4], window: [14, 35], joined: false, onBass: true } as const;
    const hands = rightHands(spelled, spec, bass, true);
    expect(hands.length).toBeGreaterThan(5);
    for (const h of hands) {
      expect(midiOf(h.pitches[0] as Pitch) % 12).toBe(0);
      expect(handShape(h.pitches)).toBe(true);
      expect([3, 4]).toContain(h.pitches.length);
    }
  });
});
