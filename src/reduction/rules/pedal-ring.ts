/** A bass that the sustaining pedal holds beyond its written length: left to ring. */

import type { Pluck } from '../../music/passage';
import { midiOf } from '../../music/pitch';
import { beatTicks } from '../../music/metre';
import type { Rule } from '../types';
import { ease, rewrite, strokes } from './helpers';

/** From middle C down strings ring longer than a beat (common practice). */
const RINGS_BELOW = 60;

export const rule: Rule = {
  code: 'pedal-ring',
  source: 'Einarsdóttir, harp notation manual; Rimsky-Korsakov, Principles of Orchestration (1922), Harp',
  find(view) {
    const beat = beatTicks(view.bar.metre);
    const rung = strokes(view, 'L').flatMap((s) => {
      const low = s[0] as Pluck;
      const span = view.sustain.find((x) => x.from <= low.onset && low.onset < x.to);
      const held = span !== undefined && span.to - (low.onset + low.duration) >= beat;
      const bass = view.roles.get(low.id)?.bass === true && midiOf(low.pitch) < RINGS_BELOW;
      if (!held || !bass || low.ring === true || span.from < low.onset - beat) return [];
      // Not the notes of a figure above it: the lowest while the pedal is down.
      const key = midiOf(low.pitch);
      const lower = view.plucks.some(
        (p) => p.onset >= span.from && p.onset < span.to && midiOf(p.pitch) < key,
      );
      return lower ? [] : [low];
    });
    const first = rung[0];
    if (first === undefined) return [];
    const add = rung.map((p): Pluck => ({ ...p, ring: true }));
    return [rewrite(view, rule, first.onset, { remove: rung.map((p) => p.id), add, ease: ease(2, 4, 2) })];
  },
};
