/** What a reduction changed, as data with a sentence each: rewrites, notes left out, chords rolled, hands exchanged. */

import { type Ticks, ticks } from '../base/units';
import type { PlannedPassage } from '../harp/planned';
import { barAndBeat, barAt } from '../music/metre';
import type { Passage, Pluck, Roll } from '../music/passage';
import { midiOf, pitchName } from '../music/pitch';
import type { Change, Rewrite } from '../reduction/types';
import { SENTENCES } from '../reduction/words';

export interface Made {
  /** The piano part, spelt as the harp reads it. */
  readonly piano: Passage;
  readonly planned: PlannedPassage;
  readonly chosen: readonly Rewrite[];
  readonly handsDropped: readonly string[];
  readonly pedalsDropped: readonly string[];
  readonly judgeDropped: readonly string[];
  readonly handRolls: readonly Roll[];
  readonly inFlats: boolean;
  readonly refused: ReadonlySet<string>;
}

const list = (names: readonly string[]): string =>
  names.length < 2 ? (names[0] ?? '') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;

/** Onsets at which the piano's left hand plays above its right. */
function crossings(piano: Passage): Set<Ticks> {
  const low = new Map<Ticks, number>();
  for (const p of piano.plucks) {
    if (p.hand === 'R') low.set(p.onset, Math.min(low.get(p.onset) ?? Infinity, midiOf(p.pitch)));
  }
  return new Set(
    piano.plucks.flatMap((p) =>
      p.hand === 'L' && midiOf(p.pitch) > (low.get(p.onset) ?? Infinity) ? [p.onset] : [],
    ),
  );
}

/** Notes named one by one in a sentence. */
const NAMED = 4;

/** Notes that changed hands: those of one bar that follow one another, and go to the same hand, together. */
function exchanges(harp: Passage, before: ReadonlyMap<string, Pluck>): Pluck[][] {
  const out: Pluck[][] = [];
  let run: Pluck[] = [];
  let bar = -1;
  const close = (): void => {
    if (run.length > 0) out.push(run);
    run = [];
  };
  for (const group of groupsOf(harp.plucks)) {
    const index = barAt(harp.bars, (group[0] as Pluck).onset).index;
    const moved = group.filter((p) => {
      const was = before.get(p.id);
      return was !== undefined && was.hand !== null && p.hand !== was.hand;
    });
    const [first] = moved;
    if (first === undefined || index !== bar || run.at(-1)?.hand !== first.hand) close();
    bar = index;
    run.push(...moved);
  }
  close();
  return out;
}

function groupsOf(plucks: readonly Pluck[]): Pluck[][] {
  const out: Pluck[][] = [];
  for (const p of plucks) {
    const last = out.at(-1);
    if (last?.[0]?.onset === p.onset) last.push(p);
    else out.push([p]);
  }
  return out;
}

/** Sorted by onset; ids are stable for the same part. */
export function changesOf(made: Made): Change[] {
  const { piano, planned } = made;
  const { bars } = piano;
  const before = new Map(piano.plucks.map((p) => [p.id, p]));
  const after = new Map(planned.passage.plucks.map((p) => [p.id, p]));
  const out: Change[] = [];
  const say = (
    id: string,
    code: string,
    onset: Ticks,
    message: string,
    source: string,
    from: readonly string[],
    to: readonly string[],
  ): void => {
    const unavoidable = made.refused.has(id) ? { unavoidable: true } : {};
    const place = bars.length === 0 ? { bar: '1', beat: 1 } : barAndBeat(bars, onset);
    const sentence = made.refused.has(id)
      ? `${message} Not to be avoided: whatever else was tried loses more.`
      : message;
    out.push({
      id,
      code,
      onset,
      ...place,
      message: sentence,
      source,
      before: from,
      after: to,
      ...unavoidable,
    });
  };

  if (made.inFlats) {
    const source =
      'Berlioz, Grand traité d’instrumentation (1844/55), p. 86; Prout, The Orchestra I (1899), p. 74';
    say(
      'many-sharps@0.0',
      'many-sharps',
      ticks(0),
      'The key is written in flats: open strings ring fullest.',
      source,
      [],
      [],
    );
  }
  const words = new Map<string, Rewrite>();
  for (const r of made.chosen) words.set(r.id, r);
  for (const r of words.values()) {
    const sentence = SENTENCES[r.code];
    const to = [
      ...r.add.map((p) => p.id).filter((id) => after.has(id)),
      ...(r.trembles ?? []).map((t) => t.id),
    ];
    say(
      r.id,
      r.code,
      r.onset,
      sentence === undefined ? r.code : sentence(r.detail ?? {}),
      r.source,
      r.remove,
      to,
    );
  }

  const left = (code: string, ids: readonly string[], why: string, source: string): void => {
    const groups = new Map<Ticks, Pluck[]>();
    for (const id of ids) {
      const p = before.get(id);
      if (p === undefined) continue;
      groups.set(p.onset, [...(groups.get(p.onset) ?? []), p]);
    }
    for (const [onset, plucks] of groups) {
      const bar = barAt(bars, onset).index;
      const names = list(plucks.map((p) => pitchName(p.pitch)));
      const own = plucks.map((p) => p.id);
      say(
        `${code}@${bar}.${onset}:${own.join('+')}`,
        code,
        onset,
        `${names} left out: ${why}.`,
        source,
        own,
        [],
      );
    }
  };
  left(
    'thinned',
    [...new Set([...made.handsDropped, ...made.judgeDropped])],
    'the hands cannot take all at once or so soon',
    'Rimsky-Korsakov, Principles of Orchestration (1922), Harp; Freund & Cutler, Extreme Orchestration (2024), Harp; Volpé Bligh, Writing for the Pedal Harp',
  );
  left(
    'no-pedal',
    made.pedalsDropped,
    'no pedal can be there in time',
    'Berlioz, Grand traité d’instrumentation (1844/55), p. 85; Volpé Bligh, Writing for the Pedal Harp',
  );

  for (const roll of made.handRolls) {
    const plucks = roll.plucks.flatMap((id) => after.get(id) ?? []);
    const first = plucks[0];
    if (first === undefined || plucks.length < 2) continue;
    const ids = plucks.map((p) => p.id);
    say(
      `rolled@${barAt(bars, first.onset).index}.${first.onset}`,
      'rolled',
      first.onset,
      `${list(plucks.map((p) => pitchName(p.pitch)))} rolled: wider than a hand.`,
      'Einarsdóttir, harp notation manual, Sibelius Academy; Harp Legacy Project, typical compositional issues',
      ids,
      ids,
    );
  }

  const crossed = crossings(piano);
  // Hands that a rule gave are told by the rule.
  const given = new Map(before);
  for (const r of words.values()) for (const p of r.add) given.set(p.id, p);
  for (const run of exchanges(planned.passage, given)) {
    const [first, last] = [run[0] as Pluck, run.at(-1) as Pluck];
    const names = list(run.slice(0, NAMED).map((p) => pitchName(p.pitch)));
    const more = run.length > NAMED ? ` and ${run.length - NAMED} more` : '';
    const hand = first.hand === 'R' ? 'right' : 'left';
    const uncrossed = run.some((p) => crossed.has(p.onset)) ? ': the hands no longer cross' : '';
    const ids = run.map((p) => p.id);
    const bar = barAt(bars, first.onset).index;
    say(
      `shared@${bar}.${first.onset}${last.onset === first.onset ? '' : `-${last.onset}`}`,
      'shared',
      first.onset,
      `${names}${more} taken by the ${hand} hand${uncrossed}.`,
      'Rimsky-Korsakov, Principles of Orchestration (1922), Harp; Volpé Bligh, Writing for the Pedal Harp',
      ids,
      ids,
    );
  }
  return out.sort((a, b) => a.onset - b.onset || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0));
}
