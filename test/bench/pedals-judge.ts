// The planner against a mixed-integer programme of MODEL.md, one price term at a time, both aims: 500 seeded passages.
import type { Measure } from './main';
import { type Verdict, judgeByHighs, questions } from '../pedals/judge';

/** More or fewer, or another seed, by environment variable. */
const COUNT = Number(process.env['JUDGE_PASSAGES'] ?? 500);
const SEED = process.env['JUDGE_SEED'] ?? 'an outside judge';
const AFRESH = 20;
const FROM = Number(process.env['JUDGE_FROM'] ?? 0);
const ONLY = process.env['JUDGE_TERM'];

const median = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[values.length >> 1] ?? Number.NaN;

export async function bench(): Promise<Measure[]> {
  let judge = await judgeByHighs();
  const seen = new Map<string, { asked: number; same: number; highs: number }>();
  const verdicts: Verdict[] = [];
  let gaveUp = 0;
  for (const question of questions(SEED, COUNT)) {
    const { term, number, passage } = question;
    // A long run fills the judge's memory: a new one every so often.
    if (number % AFRESH === AFRESH - 1) judge = await judgeByHighs();
    if (number < FROM || (ONLY !== undefined && term !== ONLY)) continue;
    for (const aim of ['practical', 'fewest'] as const) {
      let verdict: Verdict | null = null;
      // What fills its memory is asked once more of a judge that has seen nothing yet.
      for (let tries = 0; tries < 2 && verdict === null; tries++) {
        try {
          verdict = judge(question, aim);
        } catch (error) {
          console.error(`passage ${number}, ${term}, ${aim}: the judge gave up: ${String(error)}`);
          judge = await judgeByHighs();
        }
      }
      if (verdict === null) {
        gaveUp++;
        continue;
      }
      verdicts.push(verdict);
      if (process.env['JUDGE_LOG'] !== undefined)
        console.error(number, term, aim, passage.plucks.length, Math.round(verdict.highs), verdict.refused);
      const row = seen.get(term) ?? { asked: 0, same: 0, highs: 0 };
      seen.set(term, {
        asked: row.asked + 1,
        same: row.same + (verdict.fault === null ? 1 : 0),
        highs: row.highs + verdict.highs,
      });
      if (verdict.fault !== null)
        console.error(`passage ${number}, ${term}, ${aim}, ${passage.plucks.length} notes: ${verdict.fault}`);
    }
  }
  const played = verdicts.filter((v) => !v.refused);
  return [
    ...[...seen].map(([term, { asked, same, highs }]) => ({
      name: `judged by HiGHS (${Math.round(highs / asked)} ms), ${term}: same of ${asked}`,
      value: same,
      unit: 'optima',
    })),
    {
      name: 'refused alike',
      value: verdicts.filter((v) => v.refused && v.fault === null).length,
      unit: 'times',
    },
    { name: 'the judge gave up', value: gaveUp, unit: 'times' },
    { name: 'differ', value: verdicts.filter((v) => v.fault !== null).length, unit: 'times' },
    {
      name: 'HiGHS against the planner, median',
      value: median(played.map((v) => v.highs / v.ours)),
      unit: 'times longer',
    },
    { name: 'HiGHS, a passage', value: median(played.map((v) => v.highs)), unit: 'ms' },
    { name: 'the planner, a passage', value: median(played.map((v) => v.ours)), unit: 'ms' },
  ];
}
