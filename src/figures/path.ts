/** The cheapest choice of one candidate a layer, where neighbours cost: exact, by dynamic programming. */

/** Cheapest path through layers of candidates; ties go to the earlier candidate. No step may cost less than 0. */
export function shortest<T>(
  layers: readonly (readonly T[])[],
  own: (x: T, layer: number) => number,
  step: (a: T, b: T, layer: number) => number,
): T[] {
  const costs: number[][] = [];
  const from: number[][] = [];
  layers.forEach((layer, l) => {
    const previous = layers[l - 1];
    const before = costs[l - 1];
    const row: number[] = [];
    const back: number[] = [];
    for (const x of layer) {
      let best = Infinity;
      let arg = 0;
      if (previous === undefined || before === undefined) best = 0;
      else {
        for (let i = 0; i < previous.length; i++) {
          if ((before[i] as number) >= best) continue;
          const c = (before[i] as number) + step(previous[i] as T, x, l);
          if (c < best) [best, arg] = [c, i];
        }
      }
      row.push(best + own(x, l));
      back.push(arg);
    }
    costs.push(row);
    from.push(back);
  });
  const path: T[] = [];
  const end = costs.at(-1) ?? [];
  let k = end.indexOf(Math.min(...end));
  for (let l = layers.length - 1; l >= 0; l--) {
    path.unshift((layers[l] as readonly T[])[k] as T);
    k = (from[l] as number[])[k] as number;
  }
  return path;
}
