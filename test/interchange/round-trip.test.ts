// What is written and read back is the same part: note, hand, technique, roll, sweep, tremble, pedal, tempo, damp.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readMusicXml } from '../../src/interchange/musicxml-read';
import { type MusicXmlOptions, writeMusicXml } from '../../src/interchange/musicxml-write';
import { settingAt, type PlannedPassage } from '../../src/harp/planned';
import { pitchName } from '../../src/music/pitch';
import type { Passage } from '../../src/music/passage';
import { PAGE_MUSIC } from '../../src/engraving/defaults';
import { plannedPassages } from './passages';
import { richPassage } from './rich-passage';

const plain = (passage: Passage) => ({
  title: passage.title,
  fifths: passage.fifths,
  tempo: passage.tempo,
  bars: passage.bars.map((bar) => [bar.number, bar.start, bar.length, bar.metre.beats, bar.metre.unit]),
  plucks: passage.plucks
    .map((p) =>
      [
        p.onset,
        p.duration,
        pitchName(p.pitch),
        p.hand,
        p.technique,
        p.finger,
        p.dynamic,
        p.ring ?? false,
        p.id,
      ].join(' '),
    )
    .sort(),
  rolls: passage.rolls.map((r) => `${r.id} ${r.direction} ${[...r.plucks].sort().join(' ')}`).sort(),
  sweeps: passage.sweeps
    .map((s) => [s.id, s.onset, s.duration, s.hand, s.from, s.to, s.settings.join(), s.dynamic].join(' '))
    .sort(),
  trembles: passage.trembles
    .map(
      (t) =>
        `${t.id} ${t.onset} ${t.duration} ${t.dynamic} ` +
        t.notes
          .map((n) => `${n.id} ${pitchName(n.pitch)} ${n.hand}`)
          .sort()
          .join(' '),
    )
    .sort(),
  damps: passage.damps.map((d) => `${d.onset} ${d.below ?? 'all'}`).sort(),
  chords: passage.chords.map(
    (c) =>
      `${c.onset} ${c.kind} ${c.root?.letter ?? '-'}${c.root?.alter ?? ''} ${c.bass?.letter ?? '-'} ${JSON.stringify(c.degrees)}`,
  ),
});

const read = (planned: PlannedPassage, options: MusicXmlOptions = {}) => {
  const back = readMusicXml(writeMusicXml(planned, options));
  if (!back.ok) throw new Error(JSON.stringify(back.problems));
  return back.value;
};

describe('round trip through MusicXML', () => {
  it('keeps everything', () => {
    let plucks = 0;
    let sweeps = 0;
    let trembles = 0;
    fc.assert(
      fc.property(plannedPassages, (planned) => {
        const back = read(planned);
        expect(plain(back.passage)).toEqual(plain(planned.passage));
        expect(back.unread).toEqual([]);
        expect(back.tempoGiven).toBe(true);
        expect(back.partName).toBe('Harp');
        expect(back.markings.settings[0]).toEqual({ onset: 0, setting: planned.start });
        expect(back.markings.moves.map((m) => [m.onset, m.letter, m.to]).sort()).toEqual(
          planned.moves.map((m) => [m.onset, m.letter, m.to]).sort(),
        );
        back.markings.settings.slice(1).forEach(({ onset, setting }) => {
          expect(setting).toBe(settingAt(planned, onset));
        });
        plucks += planned.passage.plucks.length;
        sweeps += planned.passage.sweeps.length;
        trembles += planned.passage.trembles.length;
      }),
      { numRuns: 150, seed: 11 },
    );
    expect([plucks > 2000, sweeps > 60, trembles > 30]).toEqual([true, true, true]);
  });

  it.each<[string, MusicXmlOptions]>([
    ['one beam over both hands', { acrossBeams: true, handWords: true }],
    ['a glissando’s first octave written out', { glissandoStart: true }],
    [
      'both, changes in two lines, no courtesies',
      { ...PAGE_MUSIC, fingering: true, glissandoStart: true, pedals: 'two-lines', courtesies: false },
    ],
  ])('keeps as much with %s', (_, options) => {
    let across = 0;
    const same = (planned: PlannedPassage): void => {
      const back = read(planned, options);
      expect(plain(back.passage)).toEqual(plain(planned.passage));
      expect(back.unread).toEqual([]);
      if (writeMusicXml(planned, options).includes('other-play')) across++;
    };
    const rich = richPassage();
    // What sounds is what the pedals say there.
    const sweeps = rich.passage.sweeps.map((sweep) => ({
      ...sweep,
      settings: [settingAt(rich, sweep.onset)],
    }));
    same({ ...rich, passage: { ...rich.passage, sweeps } });
    fc.assert(fc.property(plannedPassages, same), { numRuns: 60, seed: 12 });
    expect(across > 0).toBe(options.acrossBeams === true);
  });
});
