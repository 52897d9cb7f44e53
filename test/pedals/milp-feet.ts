// What two feet can do and what their moves cost one another: spacing, gestures, haste, reaches, emergencies.
import { PEDALS, pedalIndex } from '../../src/harp/setting';
import type { Letter } from '../../src/music/pitch';
import type { MilpQuestion } from './milp';
import { microsOf } from './milp-instants';
import type { Programme } from './milp-rows';

const POSITIONS = [-1, 0, 1] as const;
const REACH_WITHIN = 1_000_000;

export interface FootTask {
  readonly q: MilpQuestion;
  readonly programme: Programme;
  readonly letters: readonly Letter[];
  readonly at: readonly number[];
  z(letter: Letter, p: number, r: number, j: number): string;
  readonly needs: readonly { letter: Letter; p: number; j: number; by: string; pluck: boolean }[];
}

/** Left D C B, right E F G A. */
const isLeft = (l: Letter): boolean => pedalIndex(l) < 3;
const plus = (terms: readonly string[]): string => terms.join(' + ');

export function footRows({ q, programme, letters, at, z, needs }: FootTask): void {
  const { rates, times } = q;
  const { rows } = programme;
  const micros = microsOf(q);
  const gap = Math.max(
    Math.min(250_000, times.neighbour, times.reach),
    q.mustSettle === true ? times.settle : 0,
  );
  const movesOf = (l: Letter, j: number, travelled?: number): string[] =>
    POSITIONS.flatMap((p) =>
      POSITIONS.filter((r) => (travelled === undefined ? r !== p : Math.abs(r - p) === travelled)).map((r) =>
        z(l, p, r, j),
      ),
    );
  const sides = [letters.filter(isLeft), letters.filter((l) => !isLeft(l))];
  // Emergencies: E by the left foot, B by the right (f…), two neighbours by their own foot at one instant (d…).
  const emergencies = q.emergencies === true;
  const other = (l: Letter, j: number): string => `f${l}${j}`;
  const lent = (['E', 'B'] as const).filter((l) => emergencies && letters.includes(l));
  const pairs = PEDALS.slice(1).flatMap((b, i): [Letter, Letter][] => {
    const a = PEDALS[i] as Letter;
    return emergencies && isLeft(a) === isLeft(b) && letters.includes(a) && letters.includes(b)
      ? [[a, b]]
      : [];
  });
  at.forEach((_, j) => {
    for (const l of lent) {
      programme.cost(rates.emergency ?? 0, programme.binary(other(l, j)));
      rows.push(`${other(l, j)} - ${movesOf(l, j).join(' - ')} <= 0`);
    }
    for (const [a, b] of pairs) {
      const d = programme.binary(`d${a}${b}${j}`);
      programme.cost(rates.emergency ?? 0, d);
      for (const l of [a, b]) {
        const loan = lent.find((x) => x === l);
        rows.push(
          `${d} - ${movesOf(l, j).join(' - ')}${loan === undefined ? '' : ` + ${other(loan, j)}`} <= 0`,
        );
      }
    }
  });
  // One motion is not both before and after what is struck at its instant.
  for (const [one, two] of pairs)
    for (const [a, b] of [
      [one, two],
      [two, one],
    ] as const)
      for (const early of needs.filter((n) => n.letter === a))
        for (const late of needs.filter((n) => n.letter === b && n.j === early.j && n.pluck)) {
          const moved = POSITIONS.flatMap((x) => [
            ...(x === early.p ? [] : [z(a, x, early.p, early.j)]),
            ...(x === late.p ? [] : [z(b, late.p, x, late.j)]),
          ]);
          rows.push(`${plus([`d${one}${two}${early.j}`, ...moved, early.by, late.by])} <= 4`);
        }
  /** Moves of a foot at an instant, less the second of two by one motion. */
  const motions = (left: boolean, j: number): string => {
    const own = (sides[left ? 0 : 1] as Letter[]).flatMap((l) => movesOf(l, j));
    const [gets, gives] = left ? (['E', 'B'] as const) : (['B', 'E'] as const);
    return [
      plus(own.length === 0 ? ['0 never'] : own),
      ...lent.filter((l) => l === gets).map((l) => `+ ${other(l, j)}`),
      ...lent.filter((l) => l === gives).map((l) => `- ${other(l, j)}`),
      ...pairs.filter(([a]) => isLeft(a) === left).map(([a, b]) => `- d${a}${b}${j}`),
    ].join(' ');
  };
  for (const left of q.timeless === true ? [] : [true, false]) {
    at.forEach((t, j) => {
      const own = pairs.filter(([a]) => isLeft(a) === left).map(([a, b]) => `d${a}${b}${j}`);
      if (own.length > 1) rows.push(`${plus(own)} <= 1`);
      const window = at.flatMap((s, i) => (i >= j && micros(s) - micros(t) < gap ? [i] : []));
      rows.push(`${plus(window.map((i) => motions(left, i)))} <= 1`);
    });
  }

  if ((rates.gesture ?? 0) > 0) {
    const stops = new Set(needs.map((n) => n.j));
    at.forEach((_, j) => {
      const made = programme.amount(`g${j}`);
      programme.cost(rates.gesture as number, made);
      for (const left of [true, false])
        for (const l of sides[left ? 0 : 1] as Letter[])
          rows.push(`${made} - ${movesOf(l, j).join(' - ')} >= 0`);
      if (!stops.has(j)) return;
      // A move that must come before what is struck then, and one that must come after, are two.
      const side = (l: Letter, before: boolean): string => {
        const name = programme.amount(`b${before ? 1 : 0}${l}${j}`);
        for (const need of needs) {
          if (need.letter !== l || need.j !== j || (!before && !need.pluck)) continue;
          const moved = POSITIONS.filter((x) => x !== need.p).map((x) =>
            before ? z(l, x, need.p, j) : z(l, need.p, x, j),
          );
          rows.push(`${name} - ${moved.join(' - ')} - ${need.by.replaceAll(' + ', ' - ')} >= -1`);
        }
        return name;
      };
      const sum = (left: boolean, before: boolean): string[] =>
        (sides[left ? 0 : 1] as Letter[]).map((l) => side(l, before));
      const [lb, la, rb, ra] = [sum(true, true), sum(true, false), sum(false, true), sum(false, false)];
      for (const [x, y] of [
        [lb, ra],
        [la, rb],
      ] as const)
        if (x.length > 0 && y.length > 0) rows.push(`${made} - ${[...x, ...y].join(' - ')} >= 0`);
    });
  }

  const [hasty, reach] = [rates.hasty ?? 0, rates.reach ?? 0];
  if (hasty + reach === 0) return;
  const comfort = (a: Letter, b: Letter, travelled: number): number =>
    (Math.abs(pedalIndex(a) - pedalIndex(b)) <= 1 ? times.neighbour : times.reach) +
    (travelled > 1 ? times.secondPosition : 0);
  for (const side of sides) {
    at.forEach((t, j) => {
      const [hurried, reached] = [programme.amount(), programme.amount()];
      programme.cost(hasty, hurried);
      programme.cost(reach, reached);
      for (let i = j - 1; i >= 0; i--) {
        const since = micros(t) - micros(at[i] as number);
        if (since >= Math.max(REACH_WITHIN, times.reach + times.secondPosition)) break;
        // Only where nothing of the foot lies in between.
        const between = at.slice(i + 1, j).flatMap((_, n) => side.flatMap((l) => movesOf(l, i + 1 + n)));
        const row = (
          amount: string,
          before: readonly string[],
          now: readonly string[],
          points: number,
        ): void => {
          if (before.length === 0 || now.length === 0) return;
          const scaled = (x: string): string => `${points} ${x}`;
          rows.push(
            `${amount} - ${[...before, ...now].map(scaled).join(' - ')}${between.map((m) => ` + ${scaled(m)}`).join('')} >= -${points}`,
          );
        };
        for (const b of side) {
          for (const travelled of hasty > 0 ? [1, 2] : []) {
            const tight = side.filter((a) => since < comfort(a, b, travelled));
            row(
              hurried,
              tight.flatMap((a) => movesOf(a, i)),
              movesOf(b, j, travelled),
              1,
            );
          }
          for (const passed of reach > 0 && since < REACH_WITHIN ? [1, 2] : []) {
            const far = side.filter((a) => Math.abs(pedalIndex(a) - pedalIndex(b)) - 1 === passed);
            row(
              reached,
              far.flatMap((a) => movesOf(a, i)),
              movesOf(b, j),
              passed,
            );
          }
        }
      }
    });
  }
}
