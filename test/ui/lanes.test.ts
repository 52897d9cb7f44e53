// The pedals' lanes: where each stands, when it moves, when its strings ring.
import { describe, expect, it } from 'vitest';
import { perform } from '../../src/harp/performance';
import { settingAt } from '../../src/harp/planned';
import { positionOf } from '../../src/harp/setting';
import { stringLetter } from '../../src/harp/strings';
import { passageEnd } from '../../src/music/passage';
import { propose } from '../../src/proposals/propose';
import { audibleSeconds, pedalLanes } from '../../src/ui/lanes';

const { proposals } = propose({
  text: 'C | E7 | Am | Fm6 | C',
  metre: { beats: 4, unit: 4 },
  milliBpm: 80_000,
  seed: '3',
  count: 6,
  families: [],
  start: null,
  aim: 'practical',
  key: null,
  title: '',
});

describe('pedal lanes', () => {
  it('stand as the plan says, without gap, left foot before right', () => {
    expect(proposals.some((p) => p.planned.moves.length > 0)).toBe(true);
    for (const { planned } of proposals) {
      const lanes = pedalLanes(planned);
      expect(lanes.map((l) => l.letter).join('')).toBe('DCBEFGA');
      expect(lanes.map((l) => l.foot[0]).join('')).toBe('lllrrrr');
      for (const { letter, stays } of lanes) {
        let at = 0;
        for (const stay of stays) {
          expect(stay.from).toBe(at);
          expect(positionOf(settingAt(planned, stay.from), letter)).toBe(stay.position);
          at = stay.to;
        }
        expect(at).toBe(passageEnd(planned.passage));
      }
    }
  });

  it('ring from each pluck of the letter, in order and apart', () => {
    for (const { planned } of proposals) {
      for (const { letter, rings } of pedalLanes(planned)) {
        // As played: a rolled chord begins a little before or after its written onset.
        for (const note of perform(planned).filter((n) => stringLetter(n.string) === letter)) {
          expect(rings.some((r) => r.from <= note.tick && note.tick < r.to)).toBe(true);
        }
        rings.slice(1).forEach((ring, i) => expect(ring.from).toBeGreaterThan(rings[i]?.to ?? Infinity));
      }
    }
  });

  it('the bass rings longer than the top: half of the T60 in the table of strings', () => {
    // Common practice: C1 about 12 s, G7 about 0.4 s to −60 dB.
    expect(audibleSeconds(0)).toBeCloseTo(6, 5);
    expect(audibleSeconds(46)).toBeCloseTo(0.2, 5);
  });
});
