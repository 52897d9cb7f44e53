// A planned passage made by hand that holds what a part can hold: eleven bars, one thing after another.
import { ticks } from '../../src/base/units';
import { CONCERT_HARP } from '../../src/harp/instrument';
import type { PlannedPassage } from '../../src/harp/planned';
import { NATURAL_SETTING, footOf, type Position } from '../../src/harp/setting';
import { makeBars } from '../../src/music/metre';
import type { Hand, Pluck } from '../../src/music/passage';
import type { Letter, Pitch } from '../../src/music/pitch';

const Q = 3360;
const at = (bar: number, quarter: number) => ticks(Math.round((4 * bar + quarter) * Q));

export function pitchNamed(name: string): Pitch {
  const [, letter, sign, octave] = /^([A-G])([b#]?)(\d)$/.exec(name) as unknown as [
    string,
    Letter,
    string,
    string,
  ];
  return { letter, alter: sign === 'b' ? -1 : sign === '#' ? 1 : 0, octave: Number(octave) };
}

/** Bars from 0: hand to hand, 8va, a high left hand, unrolled chords and a slide, four of rest, a roll, a triplet, sweeps. */
export function richPassage(): PlannedPassage {
  const plucks: Pluck[] = [];
  const add = (bar: number, quarter: number, length: number, name: string, hand: Hand, more = {}): string => {
    const id = `n${plucks.length}`;
    plucks.push({
      ...{ id, onset: at(bar, quarter), duration: ticks(Math.round(length * Q)), pitch: pitchNamed(name) },
      ...{ hand, finger: 2 as const, technique: 'ordinary' as const, dynamic: 'mf' as const, ...more },
    });
    return id;
  };
  const names = (text: string): string[] => text.split(' ');
  names('C3 G3 C4 E4 G4 C5 E5 G5 C6 G5 E5 C5 G4 E4 C4 G3').forEach((name, i) =>
    add(0, i / 4, 1 / 4, name, i < 4 || i >= 12 ? 'L' : 'R'),
  );
  names('G6 A6 B6 C7 B6 A6 G6 E6').forEach((name, i) => add(1, i / 2, 1 / 2, name, 'R'));
  add(1, 0, 4, 'C2', 'L', { ring: true });
  add(1, 0, 4, 'G2', 'L', { ring: true });
  names('C5 E5 G5 C5 E5 G5 C6 G5').forEach((name, i) => add(2, i / 2, 1 / 2, name, 'L'));
  names('E5 G5 C6 E6').forEach((name, i) => add(2, i, 1, name, 'R'));
  const upper = names('C4 E4 G4 B4').map((name) => add(3, 0, 2, name, 'R'));
  const lower = names('C3 G3 E4').map((name) => add(3, 0, 2, name, 'L'));
  const bent = add(3, 2, 2, 'B4', 'R', { ring: true });
  add(3, 2, 2, 'E3', 'L', { technique: 'harmonic' });
  const rolled = [
    ...names('C3 G3 C4 E4').map((name) => add(8, 0, 2, name, 'L')),
    ...names('G4 C5 E5 G5').map((name) => add(8, 0, 2, name, 'R')),
  ];
  add(8, 2, 1, 'Bb4', 'R', { technique: 'etouffe' });
  add(8, 3, 1, 'A#4', 'R', { technique: 'etouffe' });
  names('C5 D5 Eb5').forEach((name, i) => add(9, i / 3, 1 / 3, name, 'R'));
  add(9, 2, 2, 'Eb2', 'L', { ring: true });
  plucks.sort((a, b) => a.onset - b.onset);
  const move = (bar: number, quarter: number, letter: Letter, from: Position, to: Position) => ({
    ...{ onset: at(bar, quarter), letter, from, to, foot: footOf(letter) },
  });
  const sweep = (id: string, quarter: number, hand: Hand, from: number, to: number) => ({
    ...{ id, onset: at(10, quarter), duration: ticks(2 * Q), hand, from, to },
    ...{ settings: [NATURAL_SETTING], dynamic: 'f' as const },
  });
  return {
    passage: {
      title: 'Lamplight on the Quay',
      composer: 'A. Nonesuch',
      bars: makeBars({ beats: 4, unit: 4 }, 11),
      tempo: [{ onset: ticks(0), milliBpm: 72_000 }],
      fifths: 0,
      plucks,
      rolls: [
        { id: 'r1', plucks: upper, direction: 'none' },
        { id: 'r2', plucks: lower, direction: 'none' },
        { id: 'r3', plucks: rolled, direction: 'up' },
      ],
      sweeps: [sweep('s1', 0, 'R', 16, 38), sweep('s2', 2, 'L', 36, 10)],
      trembles: [],
      chords: [
        {
          ...{ onset: at(0, 0), text: 'Cmaj7', root: { letter: 'C', alter: 0 }, bass: null },
          ...{ kind: 'major-seventh', degrees: [] },
        },
      ],
      damps: [{ onset: at(2, 0) }, { onset: at(8, 2), below: 14 }],
      keys: [{ onset: at(8, 0), fifths: -3 }],
      slides: [{ id: 'sl1', pluck: bent, onset: at(4, 0), to: pitchNamed('Bb4') }],
      hairpins: [
        { from: at(0, 0), to: at(1, 0), kind: 'crescendo' },
        { from: at(1, 0), to: at(2, 0), kind: 'diminuendo' },
      ],
      rehearsals: [
        { onset: at(2, 0), text: 'A' },
        { onset: at(8, 0), text: 'B' },
      ],
      words: [{ onset: at(0, 0), text: 'dolce' }],
    },
    instrument: CONCERT_HARP,
    start: NATURAL_SETTING,
    moves: [move(4, 0, 'B', 0, -1), move(8, 1, 'E', 0, -1), move(8, 3, 'A', 0, 1), move(8, 3.5, 'B', -1, 0)],
    tuning: { 0: -1 },
  };
}
