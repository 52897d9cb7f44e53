/** How many motions a set of pedals takes: one each by its own foot, or fewer where emergency moves are allowed. */

/** Motions of the left and of the right foot. */
export type Motions = readonly [left: number, right: number];

const [B, E] = [2, 3];

/** Motions of a foot for its own pedals, two neighbours at once where that saves one; `bits` from its first pedal. */
function paired(bits: number, count: number): number {
  let motions = 0;
  for (let k = 0; k < count; k++) {
    if (!(bits & (1 << k))) continue;
    motions++;
    if (bits & (1 << (k + 1)) && k + 1 < count) k++;
  }
  return motions;
}

const emergency: Motions[][] = [];

/**
 * The ways of moving pedals (bits, as in PEDALS) in fewest motions: without emergencies one way, each pedal by its own
 * foot; with them E also by the left, B by the right, and two neighbours of a foot in one motion.
 */
export function motionsOf(pedals: number, emergencies: boolean): readonly Motions[] {
  if (!emergencies) {
    let [left, right] = [0, 0];
    for (let k = 0; k < 7; k++)
      if (pedals & (1 << k)) {
        if (k < E) left++;
        else right++;
      }
    return [[left, right]];
  }
  const known = emergency[pedals];
  if (known !== undefined) return known;
  const ways: Motions[] = [];
  for (const lent of [0, 1 << B, 1 << E, (1 << B) | (1 << E)]) {
    if ((pedals & lent) !== lent) continue;
    const own = pedals & ~lent;
    const left = paired(own & 7, 3) + (lent & (1 << E) ? 1 : 0);
    const right = paired(own >> 3, 4) + (lent & (1 << B) ? 1 : 0);
    if (!ways.some(([l, r]) => l <= left && r <= right)) ways.push([left, right]);
  }
  return (emergency[pedals] = ways);
}
