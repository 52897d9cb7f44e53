// A long line taken apart and known again bar by bar, wherever its bars have moved.
import { describe, expect, it } from 'vitest';
import { PAGE_MUSIC } from '../../src/engraving/defaults';
import { loadEngraver } from '../../src/engraving/engraver';
import type { PlannedPassage } from '../../src/harp/planned';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { propose } from '../../src/proposals/propose';
import { homed, partsOf } from '../../src/ui/score-line';

const TEXT = 'Eb | Cm9 | Fm7 Bb7 | Eb6/9 | Ab | Fm7 | Bb7 | Eb';

describe('a long line', async () => {
  const engrave = await loadEngraver();
  const { proposals } = propose({
    ...{
      text: TEXT,
      metre: { beats: 4, unit: 4 },
      milliBpm: 80_000,
      seed: '1',
      count: 1,
      families: ['wave'],
    },
    ...{ start: null, aim: 'practical' as const, key: null, title: '' },
  });
  const planned = proposals[0]?.planned as PlannedPassage;
  const drawn = (part: PlannedPassage): string => {
    const page = engrave(writeMusicXml(part, PAGE_MUSIC), { width: 900, scale: 44, line: true });
    if (!page.ok || page.value.systems.length !== 1) throw new Error('not one line');
    return page.value.systems[0]?.svg ?? '';
  };
  const whole = drawn(planned);

  it('comes apart into its bars and together again', () => {
    const { before, bars, after } = partsOf(whole);
    expect(bars).toHaveLength(8);
    expect(before + bars.join('') + after).toBe(whole);
    for (const bar of bars) expect(bar.match(/<g[ >]/g)?.length).toBe(bar.match(/<\/g>/g)?.length);
  });

  it('has the same bars before and after one that an accidental makes wider, moved along', () => {
    const bar = planned.passage.bars[3]?.start ?? NaN;
    const at = planned.passage.plucks.findIndex((p) => p.onset > bar);
    const plucks = planned.passage.plucks.map((p, i) =>
      i === at
        ? { ...p, pitch: { ...p.pitch, alter: p.pitch.alter === 0 ? (-1 as const) : (0 as const) } }
        : p,
    );
    const other = drawn({ ...planned, passage: { ...planned.passage, plucks } });
    const [was, is] = [whole, other].map((svg) => partsOf(svg).bars);
    const [a, b] = [(was ?? []).map(homed), (is ?? []).map(homed)];
    const same = b.map(({ text }, i) => text === a[i]?.text);
    // A courtesy accidental may follow in the next bar.
    expect(same.slice(0, 3)).toEqual([true, true, true]);
    expect(same[3]).toBe(false);
    expect(same.slice(5)).toEqual([true, true, true]);
    expect((b[5]?.at ?? 0) - (a[5]?.at ?? 0)).toBeGreaterThan(0);
    // As they came they differ: it is their places alone that moved.
    expect((is ?? []).slice(5)).not.toEqual((was ?? []).slice(5));
    // What is drawn elsewhere within a bar is another drawing.
    expect(homed((was?.[6] ?? '').replace(/translate\((\d)/, 'translate(1$1')).text).not.toBe(a[6]?.text);
  });
});
