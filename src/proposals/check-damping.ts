/** Low strings that ring on into a harmony that they do not belong to: a damp mark is wanted where the harmony changes. */

import type { Problem } from '../base/problem';
import type { PlannedPassage } from '../harp/planned';
import { midiOf, pitchName } from '../music/pitch';
import { DEFAULT_LIMITS } from '../playability/limits';
import {
  type Group,
  type PassageIndex,
  type Strike,
  firstIndex,
  indexPassage,
} from '../playability/passage-index';
import { idsOf, musicProblem, toSeconds } from '../playability/rule';
import { damped, dampsOf } from '../playability/silence';
import { type Harmony, harmoniesOf } from './harmony-here';

const { bassRing, bassBelow, placing } = DEFAULT_LIMITS;

const pcOf = (s: Strike): number => midiOf(s.pitch) % 12;
/** A semitone apart, octaves set aside. */
const rubs = (a: number, b: number): boolean => [1, 11].includes((a - b + 12) % 12);

/** The symbol of a recognised chord with the signs of accidentals. */
const signed = (name: string): string => name.replace(/^([A-G])b/, '$1♭').replace(/^([A-G])#/, '$1♯');

/** Low strings still heard at an instant, each by its last stroke, from the lowest up. */
function ringing(index: PassageIndex, until: Group): Strike[] {
  const { onsets } = index;
  const end = firstIndex(onsets.length, (i) => (onsets[i] as Group).onset >= until.onset);
  const out = new Map<number, Strike>();
  for (let i = end - 1; i >= 0; i--) {
    const g = onsets[i] as Group;
    if (until.at - g.at >= bassRing.value) break;
    for (const s of g.strikes) if (s.string < bassBelow.value && !out.has(s.string)) out.set(s.string, s);
  }
  return [...out.values()].sort((a, b) => a.string - b.string);
}

/**
 * Warnings, code `damping` and kind `harmony`, at the first onset of a harmony (written, or recognised from the notes)
 * into which a low string rings that is none of its tones and rubs a tone that sounds there. `spoken` are the onsets at
 * which the rule of the bass has already asked for a damp mark. Linear but for looking places up.
 */
export function harmonyDamping(planned: PlannedPassage, spoken: ReadonlySet<number>): Problem[] {
  const { passage } = planned;
  const harmonies = harmoniesOf(passage);
  const index = indexPassage(planned);
  const { onsets } = index;
  const damps = dampsOf(passage, index);
  return harmonies.slice(1).flatMap((harmony: Harmony): Problem[] => {
    const first = onsets[firstIndex(onsets.length, (i) => (onsets[i] as Group).onset >= harmony.from)];
    if (first === undefined || first.onset >= harmony.to || spoken.has(first.onset)) return [];
    const own = new Set(harmony.tones.map((t) => t.pc));
    const sounding = new Set(first.strikes.map(pcOf));
    const low = ringing(index, first).find(
      (s) =>
        s.technique !== 'etouffe' &&
        first.at - s.at >= placing.value &&
        !own.has(pcOf(s)) &&
        !harmony.tensions.includes(pcOf(s)) &&
        [...sounding].some((pc) => rubs(pc, pcOf(s))) &&
        !first.strikes.some((x) => x.string === s.string) &&
        !damped(damps, s, first.at),
    );
    if (low === undefined) return [];
    const found = {
      value: toSeconds(first.at - low.at),
      limit: toSeconds(bassRing.value),
      unit: 's',
      source: bassRing.source,
    };
    return [
      musicProblem('damping', 'warning', first.onset, idsOf([low, ...first.strikes]), found, {
        kind: 'harmony',
        first: pitchName(low.pitch),
        second: harmony.written ? harmony.name : signed(harmony.name),
        written: harmony.written ? 1 : 0,
      }),
    ];
  });
}
