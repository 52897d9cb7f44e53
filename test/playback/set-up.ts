/** A player on a desk whose time the test moves, and notes for it. */
import { micros, ticks } from '../../src/base/units';
import type { PlayedNote } from '../../src/harp/performance';
import { stringPitch } from '../../src/harp/strings';
import { midiOf } from '../../src/music/pitch';
import { type PlayerParts, createPlayerFrom } from '../../src/playback/player';
import { countingRenderer, createFakeDesk } from './fake-desk';

export function note(id: string, string: number, at: number, more: Partial<PlayedNote> = {}): PlayedNote {
  return {
    id,
    from: id,
    kind: 'pluck',
    string,
    midi: midiOf(stringPitch(string, 0)),
    onset: micros(Math.round(at * 1e6)),
    tick: ticks(0),
    duration: ticks(1),
    end: micros(0),
    hand: 'R',
    technique: 'ordinary',
    dynamic: 'mf',
    velocity: 75,
    release: null,
    releasedBy: null,
    ...more,
  };
}
export const damped = (id: string, string: number, at: number, release: number): PlayedNote =>
  note(id, string, at, { release: micros(release * 1e6), releasedBy: 'damp' });

export function setUp(more: Partial<PlayerParts<Float32Array>> = {}) {
  const desk = createFakeDesk();
  const renderer = countingRenderer();
  const player = createPlayerFrom({ desk: () => Promise.resolve(desk), renderer: () => renderer, ...more });
  return { desk, renderer, player };
}
/** Start times against the first one, in seconds to a tenth of a millisecond. */
export const relative = (desk: ReturnType<typeof createFakeDesk>): number[] => {
  const first = desk.started[0]?.at ?? 0;
  return desk.started.map((s) => Math.round((s.at - first) * 1e4) / 1e4);
};
