// Each rule of the hand: one case that breaks it and one that just does not, with value and limit.
import { describe, expect, it } from 'vitest';
import { codes, line, planned, verdicts } from './build';

describe('four fingers', () => {
  it('takes four notes in a hand and eight in two (Rimsky-Korsakov; Freund & Cutler)', () => {
    const eight = planned([
      { at: 0, names: 'C3 E3 G3 C4', hand: 'L' },
      { at: 0, names: 'E4 G4 B4 E5', hand: 'R' },
    ]);
    expect(codes(eight)).toEqual([]);
  });
  it('refuses the fifth', () => {
    const five = planned([{ at: 0, names: 'C4 E4 G4 B4 C5' }]);
    expect(verdicts(five, 'four-fingers')).toEqual(['error 5 > 4']);
  });
  it('counts a string once', () => {
    const doubled = planned([{ at: 0, names: 'C4 E4 G4 C5 C5' }]);
    expect(verdicts(doubled, 'four-fingers')).toEqual([]);
  });
  it('counts the hand’s share of a bisbigliando', () => {
    const p = planned([], { trembles: [{ at: 0, lasts: 2, R: 'C4 D4 E4 F4 G4', L: 'A3' }] });
    expect(verdicts(p, 'four-fingers')).toEqual(['error 5 > 4']);
  });
});

describe('span', () => {
  it('is safe to a tenth, warns at an eleventh, refuses a twelfth (Sibelius Academy manual; common practice)', () => {
    expect(verdicts(planned([{ at: 0, names: 'C4 E5' }]), 'span')).toEqual([]);
    expect(verdicts(planned([{ at: 0, names: 'C4 F5' }]), 'span')).toEqual(['warning 10 > 9 wide']);
    expect(verdicts(planned([{ at: 0, names: 'C4 G5' }]), 'span')).toEqual(['error 11 > 10 unrolled']);
  });
  it('goes by strings, not by semitones', () => {
    // The same two keys of a piano: C♭4 lies a string above B3.
    expect(verdicts(planned([{ at: 0, names: 'B3 Fb5' }]), 'span')).toEqual(['error 11 > 10 unrolled']);
    expect(verdicts(planned([{ at: 0, names: 'Cb4 Fb5' }]), 'span')).toEqual(['warning 10 > 9 wide']);
  });
  it('lets a roll go farther, given time', () => {
    expect(verdicts(planned([{ at: 0, names: 'C4 G4 G5', roll: 'up' }]), 'span')).toEqual([]);
    expect(verdicts(planned([{ at: 0, names: 'C4 G4 G5', roll: 'none' }]), 'span')).toEqual([
      'error 11 > 10 unrolled',
    ]);
    expect(verdicts(planned([{ at: 0, names: 'C4 G4 D6', roll: 'up' }]), 'span')).toEqual([
      'warning 15 > 14 rolled',
    ]);
  });
  it('wants time after a wide roll', () => {
    const next = (gap: number, top: string) =>
      planned([
        { at: 0, names: `C4 G4 ${top}`, roll: 'up' },
        { at: gap, names: 'C5' },
      ]);
    expect(verdicts(next(0.25, 'G5'), 'span')).toEqual([]);
    expect(verdicts(next(0.2, 'G5'), 'span')).toEqual(['warning 0.2 > 0.25 roll-time']);
    expect(verdicts(next(0.2, 'D6'), 'span')).toEqual(['error 0.2 > 0.25 roll-time']);
  });
});

describe('spacing', () => {
  const says = (names: string) => verdicts(planned([{ at: 0, names }]), 'spacing');
  it('keeps the lowest two of four within a fifth, and remarks on a fifth', () => {
    expect(says('C4 F4 A4 C5')).toEqual([]);
    expect(says('C4 G4 A4 C5')).toEqual(['warning 4 > 3']);
    expect(says('C4 A4 C5 E5')).toEqual(['warning 5 > 4']);
  });
  it('keeps the lowest two of three within an octave', () => {
    expect(says('C4 C5 E5')).toEqual([]);
    expect(says('C4 D5 E5')).toEqual(['warning 8 > 7']);
  });
  it('keeps second and third finger within a fourth and the thumb within an octave', () => {
    expect(says('C4 E4 A4 C5')).toEqual([]);
    expect(says('C4 E4 B4 C5')).toEqual(['warning 4 > 3']);
    expect(says('C4 D4 E4 E5')).toEqual([]);
    expect(says('C4 D4 E5')).toEqual(['warning 8 > 7']);
  });
});

describe('reach', () => {
  it('keeps the right hand above G2 (Freund & Cutler), and stops it below E2', () => {
    const right = (name: string) => verdicts(planned([{ at: 0, names: name }]), 'reach');
    expect(right('G2')).toEqual([]);
    expect(right('F2')).toEqual(['warning F2 > G2 low']);
    expect(right('E2')).toEqual(['warning E2 > G2 low']);
    expect(right('D2')).toEqual(['error D2 > E2 low']);
    expect(verdicts(planned([{ at: 0, names: 'C1', hand: 'L' }]), 'reach')).toEqual([]);
  });
  it('gives quick lines in the top octave to the right hand', () => {
    const p = (per: number) => planned(line('G6 A6 B6 C7', per, 'L'));
    expect(verdicts(p(0.25), 'reach')).toEqual([]);
    expect(verdicts(p(0.2), 'reach')).toEqual(['warning 5 > 4 top']);
    expect(verdicts(planned(line('F6 A6 B6 C7', 0.2, 'L')), 'reach')).toEqual([]);
  });
});

describe('shared string and repeats', () => {
  const two = (gap: number, second: 'R' | 'L', name = 'C5') =>
    planned([
      { at: 0, names: name, hand: 'R' },
      { at: gap, names: name, hand: second },
    ]);
  it('bars one string within 0.09 s', () => {
    expect(verdicts(two(0.08, 'L'), 'shared-string')).toEqual(['error 0.08 > 0.09']);
    expect(verdicts(two(303 / 3360, 'L'), 'shared-string')).toEqual([]);
    expect(verdicts(two(0.08, 'R'), 'repeat-rate')).toEqual(['error 0.08 > 0.09 hard']);
  });
  it('remarks on more than four a second above C4 and two and a half below C3', () => {
    expect(verdicts(two(0.25, 'R'), 'repeat-rate')).toEqual([]);
    expect(verdicts(two(0.2, 'R'), 'repeat-rate')).toEqual(['warning 5 > 4 fast']);
    expect(verdicts(two(0.4, 'L', 'B2'), 'repeat-rate')).toEqual([]);
    expect(verdicts(two(0.25, 'L', 'B2'), 'repeat-rate')).toEqual(['warning 4 > 2.5 fast']);
  });
  it('tells two strings at one pitch from one string twice (Berlioz, p. 88)', () => {
    const homophones = planned(line('C5 B#4 C5 B#4 C5', 0.15));
    expect(verdicts(homophones, 'repeat-rate')).toEqual([]);
    const same = planned(line('C5 C5 C5', 0.15));
    expect(verdicts(same, 'repeat-rate')).toHaveLength(1);
  });
  it('does not let two hands have one string at once', () => {
    expect(verdicts(two(0, 'L'), 'clash')).toEqual(['error 2 > 1 string']);
    expect(verdicts(two(0, 'R'), 'clash')).toEqual(['warning 2 > 1 string']);
  });
});

describe('hand speed', () => {
  it('stops a hand above 16 strings a second', () => {
    const scale = 'C4 D4 E4 F4 G4 A4';
    const all = (per: number) => planned(line(scale, per));
    expect(verdicts(all(1 / 16), 'hand-speed')).toEqual(['warning 16 > 7 line']);
    expect(verdicts(all(1 / 17), 'hand-speed')).toEqual(['error 17.1 > 16 strings']);
  });
  it('remarks on a placed group of four above 14 notes a second', () => {
    const group = (per: number) => planned(line('C4 E4 G4 C5', per));
    expect(verdicts(group(1 / 14), 'hand-speed')).toEqual([]);
    expect(verdicts(group(1 / 16), 'hand-speed')).toEqual(['warning 16 > 14 group']);
  });
  it('remarks on two hands above twelve notes a second, ten in a scale', () => {
    const share = (names: string, per: number) =>
      planned(
        names
          .split(' ')
          .map((n, i) => ({ at: i * per, names: n, hand: i % 8 < 4 ? ('L' as const) : ('R' as const) })),
      );
    const arpeggio = 'C3 E3 G3 B3 C4 E4 G4 B4 C5';
    const scale = 'C3 D3 E3 F3 G3 A3 B3 C4 D4';
    expect(verdicts(share(arpeggio, 1 / 12), 'hand-speed')).toEqual([]);
    expect(verdicts(share(arpeggio, 1 / 14), 'hand-speed')).toEqual(['warning 14 > 12 both']);
    expect(verdicts(share(scale, 1 / 10), 'hand-speed')).toEqual([]);
    expect(verdicts(share(scale, 1 / 12), 'hand-speed')).toEqual(['warning 12 > 10 both-scale']);
  });
  it('does not count a sweep', () => {
    const p = planned([], { sweeps: [{ at: 0, lasts: 1, hand: 'R', from: 14, to: 44, settings: [1093] }] });
    expect(codes(p)).toEqual([]);
  });
  it('remarks on a one-hand line above seven notes a second, not on a group with a break for the other hand', () => {
    const scale = 'C4 D4 E4 F4 G4 A4 B4 C5';
    expect(verdicts(planned(line(scale, 1 / 7)), 'hand-speed')).toEqual([]);
    expect(verdicts(planned(line(scale, 1 / 8)), 'hand-speed')).toEqual(['warning 8 > 7 line']);
    const handToHand = planned([
      ...line('C3 E3 G3 B3', 1 / 12, 'L'),
      ...line('C4 E4 G4 B4', 1 / 12, 'R', 4 / 12),
      ...line('C3 E3 G3 B3', 1 / 12, 'L', 8 / 12),
      ...line('C4 E4 G4 B4', 1 / 12, 'R', 12 / 12),
      ...line('C3 E3 G3 B3', 1 / 12, 'L', 16 / 12),
    ]);
    expect(verdicts(handToHand, 'hand-speed')).toEqual([]);
  });
  it('allows two and a half new four-note chords a second', () => {
    const chords = (per: number) => planned(line('C4+E4+G4+C5 D4+F4+A4+D5 C4+E4+G4+C5', per));
    expect(verdicts(chords(0.4), 'hand-speed')).toEqual([]);
    expect(verdicts(chords(0.3), 'hand-speed')).toEqual(['warning 3.4 > 2.5 chords']);
    expect(verdicts(chords(0.2), 'hand-speed')).toEqual(['error 20 > 16 strings']);
  });
});

describe('leap', () => {
  it('gives two octaves 0.45 s', () => {
    expect(verdicts(planned(line('C3 C5', 0.45, 'L')), 'leap')).toEqual([]);
    expect(verdicts(planned(line('C3 C5', 0.4, 'L')), 'leap')).toEqual(['warning 0.4 > 0.45']);
  });
  it('says nothing inside the hand’s span', () => {
    expect(verdicts(planned(line('C4 F5', 0.1)), 'leap')).toEqual([]);
  });
});
