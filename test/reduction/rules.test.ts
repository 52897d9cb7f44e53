// Each row of the piano-to-harp table on a worked example of the case that its source describes.
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { NATURAL_SETTING } from '../../src/harp/setting';
import type { Pluck, Tremble } from '../../src/music/passage';
import { type Pitch, harpSpellings, midiOf } from '../../src/music/pitch';
import { RULES } from '../../src/reduction/rules/index';
import { SENTENCES } from '../../src/reduction/words';

import { above, below, EIGHTH, find, names, pluck, run, view } from './_bar-view';

describe('the piano-to-harp table', () => {
  it('has a sentence and a source for every rule, no code twice', () => {
    expect(RULES.length).toBeGreaterThanOrEqual(21);
    expect(new Set(RULES.map((r) => r.code)).size).toBe(RULES.length);
    for (const rule of RULES) {
      expect(rule.source.length).toBeGreaterThan(3);
      expect(SENTENCES[rule.code]).toBeTypeOf('function');
    }
  });

  it('sets two strings to a repeated pitch, in turn (Berlioz p. 88), but D has one', () => {
    const [found] = find('repeated-notes', view(run([66, 66, 66, 66], 420, 'R')));
    expect(names(found)).toEqual(['G♭4', 'F♯4', 'G♭4', 'F♯4']);
    expect(found?.add.every((p) => midiOf(p.pitch) === 66)).toBe(true);
    expect(find('repeated-notes', view(run([66, 66, 66, 66], 3360, 'R')))).toEqual([]);
    // D is re-voiced an octave away in turn, or struck half as often.
    const one = find('repeated-notes', view(run([62, 62, 62, 62], 420, 'R')));
    expect(one.map((r) => [r.detail, r.remove, names(r)])).toEqual([
      [{ as: 'octave' }, ['n1', 'n3'], ['D3', 'D3']],
      [{ as: 'slower' }, ['n1', 'n3'], []],
    ]);
  });

  it('strikes a repeated low note once and lets it ring (Goss no. 65)', () => {
    const [found] = find('low-repeats', view(run([36, 36, 36], 840, 'L')));
    expect(found?.add).toMatchObject([{ id: 'n0', ring: true, duration: 2520 }]);
    expect(found?.remove).toEqual(['n0', 'n1', 'n2']);
    expect(find('low-repeats', view(run([60, 60, 60], 840, 'L')))).toEqual([]);
  });

  it('damps what a repeated bass left ringing where the bass changes (UBC; Einarsdóttir)', () => {
    const bass = [...run([36, 36, 36, 36], 840, 'L'), pluck('next', 3360, 41, 'L')];
    expect(find('low-repeats', view(bass))[0]?.damps).toEqual([{ onset: 3360, below: 14 }]);
    expect(find('low-repeats', view(run([36, 36, 36], 840, 'L')))[0]?.damps).toEqual([]);
  });

  it('spreads an Alberti bass (Harp Legacy Project)', () => {
    const v = view([above, ...run([48, 55, 52, 55], 840, 'L')]);
    expect(names(find('alberti', v)[0])).toEqual(['C3', 'E3', 'G3', 'E4']);
    expect(find('alberti', view([above, ...run([48, 52, 55, 60], 840, 'L')]))).toEqual([]);
  });

  it('hands a long run over in threes or fours (UBC; Goss no. 70)', () => {
    const [found] = find('hand-over', view(run([60, 62, 64, 65, 67, 69, 71, 72], 420, 'R')));
    expect(found?.add.map((p) => p.hand).join('')).toBe('RRRRLLLL');
    const [threes] = find('hand-over', view(run([60, 64, 67, 72, 76, 79, 84, 88, 91], 420, 'R')));
    expect(threes?.add.map((p) => p.hand).join('')).toBe('RRRLLLRRR');
  });

  it('opens a close chord below C3 to a tenth (UBC; Rimsky-Korsakov)', () => {
    const chord = [36, 40, 43].map((key, i) => pluck(`n${i}`, 0, key, 'L', 3360));
    const [found] = find('low-close', view([above, ...chord]));
    expect(found?.remove).toEqual(['n1']);
    expect(names(found)).toEqual(['E3']);
    const open = [36, 43, 48].map((key, i) => pluck(`n${i}`, 0, key, 'L', 3360));
    expect(find('low-close', view([above, ...open]))).toEqual([]);
  });

  it('moves the biggest gap under the thumb (Freund & Cutler)', () => {
    const chord = [60, 72, 76, 79].map((key, i) => pluck(`n${i}`, 0, key, 'R', 3360));
    expect(find('low-gap', view([below, ...chord]))).toEqual([]); // the octave is there already
    const wide = [62, 72, 76, 79].map((key, i) => pluck(`n${i}`, 0, key, 'R', 3360));
    expect(names(find('low-gap', view([below, ...wide]))[0])).toEqual(['D5']);
  });

  it('singles fast octaves (Berlioz p. 88)', () => {
    const notes = [72, 74, 76, 77].flatMap((key, i) => [
      pluck(`h${i}`, i * 840, key, 'R', 840),
      pluck(`l${i}`, i * 840, key - 12, 'R', 840),
    ]);
    const slow = notes.map((p) => ({ ...p, onset: ticks(p.onset * 2), duration: ticks(EIGHTH) }));
    expect(find('octaves-singled', view([below, ...slow]))).toEqual([]); // eighths at ♩ = 120 are not fast
    expect(find('octaves-singled', view([below, ...notes]))[0]?.remove).toEqual(['l0', 'l1', 'l2', 'l3']);
  });

  it('leaves the scale of a fast chromatic run (Berlioz p. 85)', () => {
    const [found] = find('chromatic-run', view(run([60, 61, 62, 63, 64, 65, 66, 67], 420, 'R')));
    expect(found?.remove).toEqual(['n1', 'n3', 'n6']);
    expect(find('chromatic-run', view(run([60, 62, 64, 65, 67, 69], 420, 'R')))).toEqual([]);
  });

  it('sweeps a chromatic run that flies by, on the set scale of the key (Berlioz p. 85)', () => {
    const flight = Array.from({ length: 25 }, (_, i) => 60 + i);
    const found = find('chromatic-run', view(run(flight, 210, 'R'))).find((r) => r.sweeps !== undefined);
    expect(found?.sweeps?.map(({ from, to, settings }) => [from, to, settings])).toEqual([
      [21, 35, [NATURAL_SETTING]],
    ]);
    expect(found?.remove).toHaveLength(25);
    // At an eighth of that pace the scale is plucked.
    const slow = find('chromatic-run', view(run(flight.slice(0, 14), 840, 'R')));
    expect(slow.map((r) => r.sweeps)).toEqual([undefined]);
  });

  it('respells one of two inflections of a letter (Canton & Overlach)', () => {
    const low = pluck('low', 0, { letter: 'G', alter: 1, octave: 3 }, 'L');
    const high = pluck('high', 0, { letter: 'G', alter: 0, octave: 4 }, 'R');
    expect(names(find('two-inflections', view([low, high]))[0])).toEqual(['A♭3']);
    // G natural and A flat's neighbour are all spoken for: the left hand's copy goes.
    const full = ['A', 'F', 'E', 'B', 'C', 'D'].map((letter, i) =>
      pluck(`o${i}`, 0, { letter: letter as Pitch['letter'], alter: 0, octave: 5 }, 'R'),
    );
    const stuck = find('two-inflections', view([low, high, ...full]));
    expect(stuck.map((r) => [r.detail, r.remove, r.add])).toEqual([[{ as: 'dropped' }, ['low'], []]]);
  });

  it('shares five notes of a hand, or leaves a doubling out (Rimsky-Korsakov; Freund & Cutler)', () => {
    const five = [60, 64, 67, 70, 72].map((key, i) => pluck(`n${i}`, 0, key, 'R'));
    const bass = pluck('bass', 0, 48, 'L');
    const [shared, thinned] = find('thick-chords', view([...five, bass]));
    expect(shared?.add.map((p) => [p.id, p.hand])).toEqual([['n0', 'L']]);
    // C is on top and in the bass: the one between goes; third and seventh stay.
    expect(thinned?.remove).toEqual(['n0']);
    expect(find('thick-chords', view(five.slice(1)))).toEqual([]);
    // Too far for the other hand: thinned only.
    const far = pluck('bass', 0, 31, 'L');
    expect(find('thick-chords', view([...five, far])).map((r) => r.detail)).toEqual([{ as: 'thinned' }]);
  });

  it('splits or rolls a span over a tenth (Einarsdóttir; Harp Legacy Project)', () => {
    const wide = [48, 55, 67].map((key, i) => pluck(`n${i}`, 0, key, 'L'));
    const [split, rolled] = find('wide-chords', view([...wide, pluck('top', 0, 72, 'R')]));
    expect(split?.add.map((p) => [p.id, p.hand])).toEqual([['n2', 'R']]);
    expect(rolled?.rolls?.map((r) => r.plucks)).toEqual([['n0', 'n1', 'n2']]);
    // A tenth is a hand's.
    const tenth = [48, 55, 64].map((key, i) => pluck(`n${i}`, 0, key, 'L'));
    expect(find('wide-chords', view(tenth))).toEqual([]);
  });

  it('rolls a full chord that stands, not one that is gone at once (Rimsky-Korsakov)', () => {
    const full = [36, 48, 55, 64, 67, 72].map((key, i) => pluck(`n${i}`, 0, key, i < 3 ? 'L' : 'R', 6720));
    expect(find('slow-chords', view(full))[0]?.rolls?.map((r) => r.plucks)).toEqual([
      ['n0', 'n1', 'n2', 'n3', 'n4', 'n5'],
    ]);
    expect(find('slow-chords', view([...full, pluck('soon', 840, 76, 'R')]))).toEqual([]);
    expect(find('slow-chords', view(full.slice(0, 4)))).toEqual([]);
    // Five notes are full enough where they stand longer.
    expect(find('slow-chords', view(full.slice(1)))).toHaveLength(1);
    expect(find('slow-chords', view([...full.slice(1), pluck('soon', 3360, 76, 'R')]))).toEqual([]);
    expect(find('slow-chords', view(full, { staccato: ['n0'] }))).toEqual([]);
  });

  it('offers to leave out an inner note that alone asks for a pedal (Volpé Bligh)', () => {
    // F sharp passes between the outer notes of a C chord; G sharp is the melody's.
    const inner = pluck('inner', 1680, { letter: 'F', alter: 1, octave: 4 }, 'R');
    const melody = pluck('melody', 1680, { letter: 'G', alter: 1, octave: 5 }, 'R');
    const bass = pluck('bass', 1680, 48, 'L');
    const found = find('pedal-sparing', view([inner, melody, bass]));
    expect(found.map((r) => [r.remove, r.add])).toEqual([[['inner'], []]]);
  });

  it('gives a trill to two hands (Berlioz p. 88)', () => {
    const [found] = find('trill', view(run([72, 74, 72, 74, 72, 74], 420, 'R')));
    expect(found?.add.map((p) => p.hand).join('')).toBe('LRLRLR');
  });

  it('keeps a soft tremolo as bisbigliando and rolls a loud one (Goss no. 68)', () => {
    const tremble = (dynamic: Tremble['dynamic']): Tremble => ({
      id: 't',
      onset: ticks(0),
      duration: ticks(3360),
      notes: [60, 64, 67].map((key, i) => ({
        id: `t${i}`,
        pitch: harpSpellings(key)[0] as Pitch,
        hand: 'R' as const,
      })),
      dynamic,
    });
    expect(find('tremolo', view([], { trembles: [tremble('pp')] }))).toEqual([]);
    const [loud] = find('tremolo', view([], { trembles: [tremble('f')] }));
    expect(loud?.remove).toEqual(['t']);
    expect(loud?.rolls?.[0]).toMatchObject({ plucks: ['t0', 't1', 't2'], direction: 'up' });
  });

  it('takes a quick wide leap an octave nearer (Harp Legacy Project)', () => {
    const v = view([pluck('a', 0, 36, 'L', 840), pluck('b', 840, 72, 'L', 840)]);
    expect(names(find('leaps', v)[0])).toEqual(['C3']);
  });

  it('thins four voices to two and what names the chord (Goss no. 70)', () => {
    const notes = [48, 55, 60, 64, 72].map((key, i) => pluck(`n${i}`, 0, key, i < 2 ? 'L' : 'R'));
    const [found] = find('two-voices', view(notes));
    expect(found?.remove.length).toBe(2);
    expect(found?.remove).not.toContain('n0');
    expect(found?.remove).not.toContain('n4');
  });

  it('damps a staccato bass where there is time (Canton & Overlach)', () => {
    const slow = view([pluck('a', 0, 43, 'L'), pluck('b', 3360, 45, 'L')], { staccato: ['a', 'b'] });
    expect(find('etouffes', slow)[0]?.add.map((p) => p.technique)).toEqual(['etouffe', 'etouffe']);
    const quick = view([pluck('a', 0, 43, 'L'), pluck('b', 420, 45, 'L')], { staccato: ['a', 'b'] });
    expect(find('etouffes', quick)).toEqual([]);
    // One dry note in a bass that rings is left as it is.
    const legato = view([pluck('a', 0, 43, 'L'), pluck('b', 3360, 45, 'L'), pluck('c', 6720, 43, 'L')], {
      staccato: ['b'],
    });
    expect(find('etouffes', legato)).toEqual([]);
  });

  it('damps low strings where the sustaining pedal changes with the bass (Rimsky-Korsakov)', () => {
    const bass = [pluck('a', 0, 36, 'L', 3360), pluck('b', 6720, 41, 'L', 3360)];
    const sustain = [{ from: ticks(0), to: ticks(6720) }];
    expect(find('pedal-damps', view(bass, { sustain }))[0]?.damps).toEqual([{ onset: 6720, below: 14 }]);
    expect(find('pedal-damps', view(bass))).toEqual([]);
  });

  it('breaks a chord that is repeated fast, over what rings; the melody and the bass stay (Harp Legacy Project)', () => {
    const chords = (step: number) =>
      [0, 1, 2, 3].flatMap((i) => [60, 64, 67].map((key, k) => pluck(`n${i}${k}`, i * step, key, 'L', step)));
    const [found] = find('repeated-chords', view([above, { ...below, hand: 'R' }, ...chords(840)]));
    // After the whole chord one string a stroke: C, E, G.
    expect(found?.remove.filter((id) => !id.startsWith('n0'))).toEqual([
      'n11',
      'n12',
      'n20',
      'n22',
      'n30',
      'n31',
    ]);
    expect(found?.add.map((p) => [p.id, p.ring])).toEqual([
      ['n00', true],
      ['n01', true],
      ['n02', true],
    ]);
    const [melody] = find('repeated-chords', view([{ ...below, hand: 'R' }, ...chords(840)]));
    expect(melody?.remove.some((id) => ['n12', 'n22', 'n32'].includes(id))).toBe(false);
    expect(find('repeated-chords', view([above, { ...below, hand: 'R' }, ...chords(3360)]))).toEqual([]);
  });

  it('makes a written-out tremolo a bisbigliando where soft, a rolled chord where loud (Goss no. 68)', () => {
    const notes = (dynamic: Pluck['dynamic']) =>
      Array.from({ length: 16 }, (_, i) =>
        (i % 2 === 0 ? [60] : [64, 67]).map((key, k) => ({
          ...pluck(`n${i}${k}`, i * 420, key, 'R', 420),
          dynamic,
        })),
      ).flat();
    const [soft] = find('written-tremolo', view([...notes('pp')]));
    expect(soft?.add).toEqual([]);
    expect(soft?.trembles?.[0]).toMatchObject({ onset: 0, duration: 6720, dynamic: 'pp' });
    expect(soft?.trembles?.[0]?.notes.map((n) => midiOf(n.pitch))).toEqual([60, 64, 67]);
    const [loud] = find('written-tremolo', view(notes('f')));
    expect(loud?.rolls?.map((r) => r.plucks)).toEqual([
      ['n00', 'n10', 'n11'],
      ['n80', 'n90', 'n91'],
    ]);
    expect(loud?.add.map((p) => [p.onset, p.duration])).toEqual([
      ...[0, 0, 0].map((at) => [at, 3360]),
      ...[0, 0, 0].map(() => [3360, 3360]),
    ]);
    const slow = notes('f').map((p) => ({ ...p, onset: ticks(p.onset * 4) }));
    expect(find('written-tremolo', view(slow))).toEqual([]);
    expect(find('written-tremolo', view(run([72, 74, 72, 74, 72, 74], 420, 'R')))).toEqual([]); // a trill
  });

  it('singles a low octave that is struck again (Goss no. 65)', () => {
    const octaves = [0, 1, 2].flatMap((i) => [
      pluck(`l${i}`, i * 1680, 31, 'L'),
      pluck(`h${i}`, i * 1680, 43, 'L'),
    ]);
    const [found] = find('low-octaves', view(octaves));
    expect(found?.remove).toEqual(['l0', 'h0', 'h1', 'h2']);
    expect(found?.add).toMatchObject([
      { id: 'l0', ring: true },
      { id: 'h0', ring: true },
    ]);
    expect(find('low-octaves', view(octaves.map((p) => ({ ...p, onset: ticks(p.onset * 8) }))))).toHaveLength(
      0,
    );
  });

  it('lets a bass ring that the sustaining pedal holds (Einarsdóttir)', () => {
    const notes = [
      pluck('bass', 0, 36, 'L'),
      ...[55, 60, 64].map((k, i) => pluck(`n${i}`, 1680 * (i + 1), k, 'L')),
    ];
    const sustain = [{ from: ticks(0), to: ticks(13440) }];
    expect(find('pedal-ring', view([above, ...notes], { sustain }))[0]?.add).toMatchObject([
      { id: 'bass', ring: true },
    ]);
    expect(find('pedal-ring', view([above, ...notes]))).toEqual([]);
  });

  it('rolls small notes with the chord that they run up to (Einarsdóttir)', () => {
    const notes = [
      pluck('g1', 2520, 60, 'R', 420),
      pluck('g2', 2940, 64, 'R', 420),
      pluck('m1', 3360, 67, 'R', 3360),
      pluck('m2', 3360, 72, 'R', 3360),
    ];
    const [found] = find('graces', view([below, ...notes]));
    expect(found?.add.map((p) => [p.id, p.onset])).toEqual([
      ['g1', 3360],
      ['g2', 3360],
    ]);
    expect(found?.rolls).toMatchObject([{ plucks: ['g1', 'g2', 'm1', 'm2'], direction: 'up' }]);
    const blur = notes.map((p) => (p.id === 'g1' ? pluck('g1', 2520, 62, 'R', 420) : p));
    expect(find('graces', view([below, ...blur]))).toEqual([]);
  });

  it('brings notes beyond the strings into the compass', () => {
    expect(names(find('compass', view([pluck('low', 0, 21, 'L')]))[0])).toEqual(['A1']);
    expect(find('compass', view([pluck('fine', 0, 36, 'L')]))).toEqual([]);
  });
});
