// The short report: what it counts, what it puts first, what it asks.
import { describe, expect, it } from 'vitest';
import { checkPart } from '../../src/proposals/check';
import { checkReport } from '../../src/proposals/report';
import { barList, questionText, reportText, ruleName } from '../../src/proposals/report-text';
import { PART_RULES } from '../../src/playability/judge';
import { type Extra, type Note, line, planned } from '../playability/build';

const NONE = { settings: [], moves: [] };
const summaryOf = (notes: readonly Note[], extra: Extra = {}, tempo = true) => {
  const { passage } = planned(notes, extra);
  const part = { passage: tempo ? passage : { ...passage, tempo: [] }, markings: NONE };
  return { summary: checkReport(checkPart(part)), bars: passage.bars };
};

describe('the short report', () => {
  it('of a part without remarks says so and asks nothing', () => {
    const { summary, bars } = summaryOf(line('C4 D4 E4 F4', 1));
    expect(summary).toMatchObject({ onsets: 4, errors: 0, warnings: 0, tallies: [], questions: [] });
    expect(reportText(summary, bars)).toContain('can be played as it stands');
  });
  it('counts by kind, errors first, and names the worst bars', () => {
    const notes = [
      { at: 0, names: 'C4 D4 E4 F4 G4' },
      { at: 4, names: 'C4 D4 E4 F4 G4' },
      { at: 5, names: 'C4 C6' },
      { at: 9, names: 'C8' },
      { at: 14, names: 'F2' },
    ];
    const { summary, bars } = summaryOf(notes);
    expect(summary.tallies.map((t) => [t.severity, t.code, t.count, t.bars])).toEqual([
      ['error', 'four-fingers', 2, ['1', '2']],
      ['error', 'span', 1, ['2']],
      ['error', 'range', 1, ['3']],
      ['warning', 'reach', 1, ['4']],
    ]);
    expect(summary.errors).toBe(4);
    expect(summary.onsetsWithErrors).toBe(4);
    expect(summary.worstBars[0]).toEqual({ bar: '2', errors: 2, warnings: 0 });
    // A note off the instrument stands in the way of all else.
    expect(summary.first.map((t) => t.code)).toEqual(['range', 'four-fingers', 'span']);
    const text = reportText(summary, bars);
    expect(text).toContain('4 places cannot be played as written (4 of 5 onsets), and there is 1 remark.');
    expect(text).toContain('  1. Bar 3, beat 2: C8 is not on this harp');
    expect(text).toContain('(1 more of this kind)');
  });
  it('asks about what had to be assumed', () => {
    const chords = [0, 1, 2, 3].map((at) => ({ at, names: 'C4 E4 G4', hand: null }));
    const { summary } = summaryOf(
      [...chords, { at: 5, names: 'F#4', hand: null }, { at: 7, names: 'F4', hand: null }],
      {},
      false,
    );
    expect(summary.questions.map((q) => q.kind)).toEqual(['tempo', 'hands', 'pedals', 'unmarked-chords']);
    expect(summary.questions.map(questionText).join(' ')).toContain('takes 1 pedal move.');
  });
  it('asks once about each rule that common practice decides, with the hardest case', () => {
    const { summary } = summaryOf(line('C4 C4 C4 D4 E4 C3 C3', 0.2));
    const practice = summary.questions.filter((q) => q.kind === 'practice');
    expect(practice.map((q) => q.code)).toEqual([...new Set(practice.map((q) => q.code))]);
    // Both strings are struck five times a second: C3 is twice as far past its limit.
    expect(practice.map((q) => [q.code, q.limit])).toContainEqual(['repeat-rate', 2.5]);
    expect(practice.every((q) => q.source.includes('common practice'))).toBe(true);
    expect(questionText(practice[0] as never)).toMatch(
      /^On one string repeated fast \(2 times, bars? 1.*; the hardest 5 notes a second, where 2.5 .* no printed rule decides: does it work for you\?$/,
    );
  });
  it('names the bars where a rest would help', () => {
    const { summary, bars } = summaryOf([], { trembles: [{ at: 0, lasts: 20, R: 'E4 G4', L: 'C4 D4' }] });
    expect(summary.tallies.map((t) => t.code)).toContain('stamina');
    expect(reportText(summary, bars)).toContain('without a break');
    const octaves = Array.from({ length: 32 }, (_, i) => ({
      at: i,
      names: `${'CDEFGAB'[i % 7]}4 ${'CDEFGAB'[i % 7]}5`,
    }));
    const long = summaryOf(octaves);
    expect(long.summary.rests).toEqual(['4', '8']);
    expect(reportText(long.summary, long.bars)).toContain('A rest would help\n  bars 4, 8');
  });
  it('calls every rule by a name of its own', () => {
    const names = PART_RULES.map((r) => ruleName(r.code));
    expect(new Set(names).size).toBe(new Set(PART_RULES.map((r) => r.code)).size);
    expect(ruleName('sharp-key')).toBe('keys of many sharps');
  });
  it('shortens long lists of bars', () => {
    expect(barList(['3'])).toBe('bar 3');
    expect(barList(['1', '2', '4', '5'], 3)).toBe('bars 1, 2, 4 and 1 more');
  });
});
