/** What would make a refused passage playable, in words. */

import { barAndBeat } from '../music/metre';
import type { Passage } from '../music/passage';
import { pitchName } from '../music/pitch';
import type { WayOut } from '../pedals/types';

/** A tempo in quarters a minute at a share of the passage's first, in percent; at least 20. */
export const slowerTempo = ({ tempo }: Passage, percent: number): number =>
  Math.max(20, Math.floor((((tempo[0]?.milliBpm ?? 90_000) / 1000) * percent) / 100));

/** 'E♭4 in bar 3, beat 2'. */
function noteWords({ plucks, sweeps, bars }: Passage, id: string): string {
  const pluck = plucks.find((p) => p.id === id);
  const at = pluck ?? sweeps.find((s) => s.id === id);
  if (at === undefined) return 'a note';
  const { bar, beat } = barAndBeat(bars, at.onset);
  const name = pluck === undefined ? 'the glissando' : pitchName(pluck.pitch);
  return `${name} in bar ${bar}, beat ${Math.round(beat * 100) / 100}`;
}

/** 'At ♩ = 72 it can be played.' */
export function wayOutWords(way: WayOut, passage: Passage): string {
  switch (way.kind) {
    case 'leave-out': {
      const names = way.ids.map((id) => noteWords(passage, id));
      const list = names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
      return `Without ${list} it can be played.`;
    }
    case 'slower':
      return `At ♩ = ${slowerTempo(passage, way.percent)} it can be played.`;
    case 'emergencies':
      return 'With emergency moves it can be played.';
    case 'unsettled':
      return 'Where a pedal may move right before its note it can be played.';
  }
}
