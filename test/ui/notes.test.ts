// What is told about notes, how arrow keys go through them, how a string is drawn as it dies away.
import { describe, expect, it } from 'vitest';
import { countInOf } from '../../src/app/listening.svelte';
import { createMidiChoice } from '../../src/app/midi.svelte';
import { TICKS_PER_QUARTER, ticks } from '../../src/base/units';
import { CONCERT_HARP } from '../../src/harp/instrument';
import type { PlannedPassage } from '../../src/harp/planned';
import { NATURAL_SETTING, withPosition } from '../../src/harp/setting';
import { makeBars } from '../../src/music/metre';
import type { Pluck } from '../../src/music/passage';
import type { Pitch } from '../../src/music/pitch';
import type { MidiOut } from '../../src/playback/midi-out';

import { factsLine, neighbour, noteFacts, notesOfProblems } from '../../src/ui/note-facts';
import { decayOf, phase, swing } from '../../src/ui/vibration';

const Q = TICKS_PER_QUARTER;
const pluck = (id: string, at: number, pitch: Pitch, part: Partial<Pluck> = {}): Pluck => ({
  id,
  onset: ticks(at * Q),
  duration: ticks(Q),
  pitch,
  hand: 'R',
  finger: 2,
  technique: 'ordinary',
  dynamic: 'mf',
  ...part,
});
const planned: PlannedPassage = {
  passage: {
    title: '',
    bars: makeBars({ beats: 3, unit: 4 }, 2),
    tempo: [{ onset: ticks(0), milliBpm: 60_000 }],
    fifths: 0,
    plucks: [
      pluck('low', 0, { letter: 'C', alter: 0, octave: 1 }, { hand: 'L', finger: 1 }),
      pluck('mid', 0, { letter: 'E', alter: -1, octave: 4 }),
      pluck('top', 0, { letter: 'G', alter: 0, octave: 4 }, { finger: 1 }),
      pluck('then', 3, { letter: 'F', alter: 1, octave: 4 }, { technique: 'harmonic' }),
    ],
    rolls: [],
    sweeps: [],
    trembles: [],
    chords: [],
    damps: [],
  },
  instrument: CONCERT_HARP,
  start: withPosition(NATURAL_SETTING, 'E', -1),
  moves: [{ onset: ticks(3 * Q), letter: 'F', from: 0, to: 1, foot: 'right' }],
  tuning: { 0: 0 },
};
const facts = noteFacts(planned);

describe('what is told of a note', () => {
  it('names string, hand, finger and the pedal in force', () => {
    const line = (id: string): string => {
      const f = facts.get(id);
      return f === undefined ? '' : factsLine(f);
    };
    expect(line('mid')).toBe(
      'E♭4. Bar 1, beat 1. String E4. Right hand, second finger. E pedal up (flat), right foot',
    );
    expect(line('then')).toBe(
      'F♯4. Bar 2, beat 1. String F4, a black one. Right hand, second finger, as a harmonic, sounding an octave higher. F pedal down (sharp), right foot',
    );
    expect(line('low')).toContain('String C1, a red one. Left hand, thumb (1). No pedal reaches it');
  });

  it('goes left and right in time, up and down in a chord, and stops at the ends', () => {
    expect(neighbour(facts, 'mid', 'right')).toBe('then');
    expect(neighbour(facts, 'then', 'left')).toBe('mid');
    expect(neighbour(facts, 'mid', 'up')).toBe('top');
    expect(neighbour(facts, 'mid', 'down')).toBe('low');
    expect(neighbour(facts, 'top', 'up')).toBeNull();
    expect(neighbour(facts, 'then', 'right')).toBeNull();
    expect(neighbour(facts, '', 'first')).toBe('low');
    expect(neighbour(facts, 'low', 'last')).toBe('then');
  });

  it('finds the notes of a remark by name, or else by place', () => {
    const problem = { code: 'x', severity: 'warning', value: 0, limit: 0, source: '' } as const;
    const at = (onset: number, ids: string[]) => ({
      ...problem,
      where: { kind: 'music' as const, onset: ticks(onset), ids },
    });
    expect(notesOfProblems([at(0, ['top', 'gone']), at(Q, ['move']), at(9 * Q, [])], facts)).toEqual([
      ['top'],
      ['then'],
      [],
    ]);
  });
});

describe('a string that sounds', () => {
  it('dies away, the low ones later, and stops where it is damped', () => {
    expect(swing(10, 0, null)).toBe(1);
    expect(swing(0, 1, null)).toBeGreaterThan(swing(46, 1, null));
    expect(decayOf(0)).toBeGreaterThan(decayOf(46));
    expect(swing(0, 0.5, 0.2)).toBeLessThan(0.05 * swing(0, 0.5, null));
    for (let t = 0; t < 2; t += 0.01) expect(Math.abs(phase(20, t))).toBeLessThanOrEqual(1);
  });
});

describe('listening', () => {
  it('counts in one bar of felt beats', () => {
    expect(countInOf({ planned })).toEqual({ beats: 3, seconds: 1 });
    const passage = { ...planned.passage, bars: makeBars({ beats: 6, unit: 8 }, 1) };
    expect(countInOf({ planned: { ...planned, passage } })).toEqual({ beats: 2, seconds: 1.5 });
  });

  it('asks for MIDI only when told to, and lets go of an instrument that leaves', async () => {
    const used: (MidiOut | null)[] = [];
    let asked = 0;
    let changed = (): void => undefined;
    let ports = [{ id: 'a', name: 'Piano' }];
    const out = { allOff: () => undefined } as MidiOut;
    const midi = createMidiChoice(
      (to) => void used.push(to),
      true,
      () => {
        asked++;
        const onChange = (fn: () => void) => {
          changed = fn;
          return () => undefined;
        };
        return Promise.resolve({ ok: true, value: { list: () => ports, open: () => out, onChange } });
      },
    );
    expect([midi.state, asked]).toEqual(['unasked', 0]);
    midi.ask();
    await Promise.resolve();
    await Promise.resolve();
    expect([midi.state, midi.instruments]).toEqual(['ready', ports]);
    midi.choose('a');
    expect(midi.chosen).toBe('a');
    ports = [];
    changed();
    expect(midi.chosen).toBe('');
    expect(used).toEqual([out, null]);
  });
});
