/** Two feet, one pedal each at a time, and time to get from pedal to pedal. */

import type { Problem } from '../../base/problem';
import type { Move } from '../../harp/planned';
import { type Foot, footOf, pedalIndex } from '../../harp/setting';
import { type Letter, spellingName } from '../../music/pitch';
import { TOP_STRING } from '../../harp/strings';
import { type Strike, firstIndex } from '../passage-index';
import { type Rule, type RuleInput, musicProblem, toSeconds } from '../rule';

const SOURCE = 'Volpé Bligh, Writing for the Pedal Harp; common practice';

const moveName = (m: Move): string => spellingName(m.letter, m.to);
const moveId = (m: Move): string => `${m.letter}@${m.onset}`;

/** The least comfortable time from one move of a foot to its next, in microseconds. */
function wanted({ limits }: RuleInput, a: Move, b: Move): number {
  const near = Math.abs(pedalIndex(a.letter) - pedalIndex(b.letter)) <= 1;
  const two = Math.abs(b.to - b.from) > 1;
  return (near ? limits.footNeighbour : limits.footReach).value + (two ? limits.footSecond.value : 0);
}

function checkFoot(input: RuleInput, foot: Foot, moves: readonly Move[]): Problem[] {
  const out: Problem[] = [];
  for (let i = 1; i < moves.length; i++) {
    const [a, b] = [moves[i - 1] as Move, moves[i] as Move];
    const gap = input.index.microsAt(b.onset) - input.index.microsAt(a.onset);
    const need = wanted(input, a, b);
    // Times are rounded down: a gap one microsecond short is no gap short.
    if (gap + 1 >= need) continue;
    const hard = gap + 1 < input.limits.footHard.value;
    const limit = hard ? input.limits.footHard.value : need;
    const found = { value: toSeconds(gap), limit: toSeconds(limit), unit: 's', source: SOURCE };
    const kind = a.onset === b.onset ? 'together' : 'gap';
    out.push(
      musicProblem('pedal-time', hard ? 'error' : 'warning', b.onset, [moveId(a), moveId(b)], found, {
        kind,
        foot,
        first: moveName(a),
        second: moveName(b),
      }),
    );
  }
  return out;
}

/** The other side's pedal: E with the left and B with the right are emergencies, all others out of reach. */
function checkSide(m: Move): Problem | null {
  const own = footOf(m.letter);
  if (m.foot === own) return null;
  const emergency = m.letter === 'E' || m.letter === 'B';
  const found = { value: `${m.foot} foot`, limit: `${own} foot`, source: 'common practice' };
  return musicProblem('pedal-time', emergency ? 'warning' : 'error', m.onset, [moveId(m)], found, {
    kind: 'side',
    second: moveName(m),
  });
}

/** The last strike of a letter before a move that needs the old position, and the first after that needs the new. */
function around(strikes: readonly Strike[], m: Move): readonly [Strike, Strike] | null {
  let after = firstIndex(strikes.length, (i) => (strikes[i] as Strike).onset >= m.onset);
  // At the move's own instant either position may be meant.
  while (after < strikes.length && (strikes[after] as Strike).onset === m.onset) {
    if ((strikes[after] as Strike).pitch.alter === m.to) break;
    after++;
  }
  const [a, b] = [strikes[after - 1], strikes[after]];
  return a === undefined || b === undefined ? null : [a, b];
}

/** Strikes of each letter on strings that its pedal moves. */
function pedalled({ index, planned }: RuleInput): Map<Letter, Strike[]> {
  const { discless } = planned.instrument;
  const moves = (s: Strike): boolean => !discless.includes(s.string) && s.string <= TOP_STRING;
  return new Map([...index.byLetter].map(([letter, strikes]) => [letter, strikes.filter(moves)]));
}

/** However the move is placed, it has only the time between the old pluck and the new. */
function checkSettle({ limits }: RuleInput, strikes: readonly Strike[], m: Move): Problem | null {
  const pair = around(strikes, m);
  if (pair === null) return null;
  const [a, b] = pair;
  const gap = b.at - a.at;
  if (gap + 1 >= limits.settle.value || a.pitch.alter === b.pitch.alter) return null;
  const found = {
    value: toSeconds(gap),
    limit: toSeconds(limits.settle.value),
    unit: 's',
    source: limits.settle.source,
  };
  const names = { first: spellingName(a.pitch.letter, a.pitch.alter), second: moveName(m) };
  return musicProblem('pedal-time', 'warning', b.onset, [a.id, b.id], found, { kind: 'settle', ...names });
}

export const rule: Rule = {
  code: 'pedal-time',
  source: SOURCE,
  check(input) {
    const { moves } = input.planned;
    const out: Problem[] = [];
    for (const foot of ['left', 'right'] as const)
      out.push(
        ...checkFoot(
          input,
          foot,
          moves.filter((m) => m.foot === foot),
        ),
      );
    const strikes = pedalled(input);
    for (const m of moves) {
      for (const p of [checkSide(m), checkSettle(input, strikes.get(m.letter) ?? [], m)])
        if (p !== null) out.push(p);
    }
    return out;
  },
};
