// A melody as the page writes it: the top line of a part as text that reads back the same.
import { describe, expect, it } from 'vitest';
import { melodyOf } from '../../src/app/melody-input';
import { fixAt, spellingChoices, withFix, withoutFix } from '../../src/app/note-fixes';
import { ticks } from '../../src/base/units';
import { DEFAULT_WORK, requestOf } from '../../src/app/work';
import { readPart } from '../../src/interchange/read-part';
import { writeMidi } from '../../src/interchange/midi-write';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { makeBars } from '../../src/music/metre';
import { midiOf } from '../../src/music/pitch';
import { melodyText } from '../../src/proposals/melody-text';
import { propose } from '../../src/proposals/propose';

const TUNE = 'G5:2 F5:1 Eb5:1/2 D5:1/2 | r:1 C5:3 | Bb4:2/3 C5:2/3 D5:2/3 Eb5:2';

describe('the top line of a part', () => {
  it('of a part that was made round a tune is the tune, from a score and from MIDI', () => {
    const { proposals } = propose({
      ...requestOf({ ...DEFAULT_WORK.input, text: 'Eb | Ab | Bb7 Eb', melody: TUNE }),
      count: 1,
    });
    const [one] = proposals;
    if (one === undefined) throw new Error('nothing was made round the tune');
    const sounds = (text: string): string[] => {
      const read = melodyOf(text);
      return read?.ok === true ? read.value.map((n) => `${n.onset} ${midiOf(n.pitch)}`) : [];
    };
    const wanted = sounds(TUNE);
    expect(wanted).toHaveLength(9);
    const top = (bytes: Uint8Array, name: string): string => {
      const read = readPart(name, bytes);
      return read.ok ? melodyText(read.value.passage) : '';
    };
    // Where the tune rests, the highest note is the accompaniment's: the tune's own notes are all there.
    const score = sounds(top(new TextEncoder().encode(writeMusicXml(one.planned)), 'tune.musicxml'));
    expect(wanted.filter((n) => !score.includes(n))).toEqual([]);
    const midi = sounds(top(writeMidi(one.planned), 'tune.mid'));
    expect(wanted.filter((n) => !midi.includes(n))).toEqual([]);
  });

  it('is nothing where nothing is struck, and no text is no melody', () => {
    const passage = { bars: [], plucks: [] } as unknown as Parameters<typeof melodyText>[0];
    expect(melodyText(passage)).toBe('');
    expect(melodyOf(' \n')).toBeNull();
  });
});

describe('the spelling of a note', () => {
  const bars = makeBars({ beats: 4, unit: 4 }, 2);
  const eFlat = { letter: 'E', alter: -1, octave: 4 } as const;
  const second = ticks(3360 * 5);

  it('offers what a pedal can make of it, the present one first, and remembers what was asked', () => {
    const none = { fixes: [], set: () => undefined };
    const choices = spellingChoices(none, bars, second, eFlat);
    expect(choices.map((c) => [c.name, c.now, c.asked])).toEqual([
      ['E♭4', true, false],
      ['D♯4', false, false],
    ]);
    const sharp = choices[1]?.fix;
    if (sharp === undefined) throw new Error('no other spelling');
    expect(sharp).toMatchObject({ bar: '2', beat: 2, letter: 'D', alter: 1, octave: 4 });
    const fixes = withFix(withFix([], choices[0]?.fix ?? sharp), sharp);
    expect(fixes).toEqual([sharp]);
    const asked = spellingChoices({ ...none, fixes }, bars, second, eFlat).map((c) => c.asked);
    expect(asked).toEqual([false, true]);
    expect(withoutFix(fixes, choices[0]?.fix ?? sharp)).toEqual([]);
  });

  it('is not asked where a bar has no number to name it by', () => {
    expect(fixAt([{ ...bars[0], number: '' } as (typeof bars)[0]], ticks(0), eFlat)).toBeNull();
  });
});
