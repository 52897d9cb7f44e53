/** Joins overlapping stretches in which one limit is passed, so that a fast bar is one problem and not twenty. */

export interface Run {
  /** Positions of the first and last event, both included. */
  readonly from: number;
  readonly to: number;
  /** The worst value in the stretch: the larger is the worse. */
  readonly worst: number;
}

/** Runs sorted by `from`; those that share an event become one. */
export function joinRuns(runs: readonly Run[]): Run[] {
  const out: Run[] = [];
  for (const run of runs) {
    const last = out.at(-1);
    if (last !== undefined && run.from <= last.to) {
      out[out.length - 1] = {
        from: last.from,
        to: Math.max(last.to, run.to),
        worst: Math.max(last.worst, run.worst),
      };
    } else out.push(run);
  }
  return out;
}
