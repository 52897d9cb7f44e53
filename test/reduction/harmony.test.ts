// Chords recognized from the notes of our own figures are the chords that were asked for.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { FAMILIES } from '../../src/figures/families';
import { parseProgression } from '../../src/harmony/progression';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { barAt } from '../../src/music/metre';
import { ticks } from '../../src/base/units';
import { voicesOf } from '../../src/reduction/lines';
import { chordOf, recognizeHarmony } from '../../src/reduction/harmony';

const SONGS: readonly (readonly [text: string, beats: number])[] = [
  ['C | Am | F | G7', 4],
  ['Cmaj7 | A7b9 | Dm9 | G13', 4],
  ['Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9', 4],
  ['Am | E7 | Am | Dm | Am/E | E7 | Am', 3],
  ['D | Bm7 | Em7 A7 | D | G | Gm | D/A A7 | D', 4],
  ['F#m7b5 | B7b9 | Em | Cdim7 | G/D | D7sus4 D7 | G', 4],
  ['Db | Gbmaj7 | Ab7 | Bbm | Ebm7 | Ab7 | Db', 3],
  ['Bm | F#7/A# | A | E/G# | G | D/F# | Em7 | F#7', 4],
  ['Cm | Fm | Ddim | G7 | Ab | Caug | Fm6 | G7', 4],
  ['A | E | F#m | C#m | D | A | D | E7', 4],
];
/** Families that strike chords as notes: sweeps are settings, not chords. */
const struck = FAMILIES.filter((f) => !f.id.includes('gliss'));

describe('recognizeHarmony', () => {
  it('names the chords of rendered progressions in at least 95 bars of 100', () => {
    let [right, all] = [0, 0];
    const wrong: string[] = [];
    for (const [text, beats] of SONGS) {
      const progression = parseProgression(text, { metre: { beats, unit: 4 }, key: null });
      expect(progression.problems).toEqual([]);
      for (const family of struck) {
        for (const seed of [1]) {
          const random = seededRandom(`${family.id} ${seed}`);
          const draft = family.draft({
            progression,
            title: '',
            milliBpm: 84_000,
            instrument: CONCERT_HARP,
            random,
          });
          if (!draft.ok || draft.value.passage.sweeps.length > 0) continue;
          const { passage } = draft.value;
          const marks = recognizeHarmony({ ...passage, chords: [] });
          const bars = new Map<number, boolean>();
          for (const placed of progression.chords) {
            const want = placed.chord;
            if (want === null) continue;
            // A figure that leaves out a tone that names the chord says another chord.
            const until = placed.onset + placed.duration;
            const heard = new Set(
              voicesOf(passage).flatMap((v) =>
                v.onset >= placed.onset && v.onset < until ? [v.midi % 12] : [],
              ),
            );
            const root = want.tones[0]?.pc ?? 0;
            const bare = want.tones.filter((t) => !(t.degree === 5 && (t.pc - root + 12) % 12 === 7));
            if (bare.some((t) => !heard.has(t.pc))) continue;
            const mark = marks.filter((m) => m.onset <= placed.onset).at(-1);
            const got = mark === undefined ? null : chordOf(mark);
            const tones = (c: typeof want): string => [...new Set(c.tones.map((t) => t.pc))].sort().join();
            const same = got !== null && got.tones[0]?.pc === want.tones[0]?.pc && tones(got) === tones(want);
            const bar = barAt(passage.bars, ticks(placed.onset)).index;
            bars.set(bar, (bars.get(bar) ?? true) && same);
            if (!same) wrong.push(`${want.text}>${got?.text} ${family.id}`);
          }
          all += bars.size;
          right += [...bars.values()].filter(Boolean).length;
        }
      }
    }
    if (process.env.SHOW) console.log(right, all, wrong.slice(0, 60).join('\n'));
    expect(all).toBeGreaterThan(500);
    expect(right / all).toBeGreaterThanOrEqual(0.95);
  });
});
