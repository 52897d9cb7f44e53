/** Sine, cosine and exponential from + − × ÷ alone, so that every engine gives the same bits. */

export const PI = 3.141592653589793;
const HALF_PI = 1.5707963267948966;
/** π/2 less its double. */
const HALF_PI_REST = 6.123233995736766e-17;
const LN2_HIGH = 0.6931471803691238;
const LN2_LOW = 1.9082149292705877e-10;

/** Sine of π/2·t for |t| ≤ 1/2, by its Taylor series (the rest lies under 1e-18). */
function sinQuarter(t: number): number {
  const x = t * HALF_PI + t * HALF_PI_REST;
  const q = x * x;
  const tail =
    1 / 6 -
    q *
      (1 / 120 -
        q * (1 / 5040 - q * (1 / 362880 - q * (1 / 39916800 - q * (1 / 6227020800 - q / 1307674368000)))));
  return x - x * q * tail;
}

/** Cosine of π/2·t for |t| ≤ 1/2. */
function cosQuarter(t: number): number {
  const x = t * HALF_PI + t * HALF_PI_REST;
  const q = x * x;
  const tail =
    1 / 24 -
    q *
      (1 / 720 -
        q *
          (1 / 40320 - q * (1 / 3628800 - q * (1 / 479001600 - q * (1 / 87178291200 - q / 20922789888000)))));
  return 1 - q / 2 + q * q * tail;
}

/** Sine of π·x. The reduction of x is exact, so whole and half numbers give exact values. |x| < 2^50. */
export function sinPi(x: number): number {
  const t = 2 * x;
  const quarter = Math.floor(t + 0.5);
  const rest = t - quarter;
  const turn = quarter - 4 * Math.floor(quarter / 4);
  if (turn === 0) return sinQuarter(rest);
  if (turn === 1) return cosQuarter(rest);
  return turn === 2 ? -sinQuarter(rest) : -cosQuarter(rest);
}

/** Cosine of π·x. */
export function cosPi(x: number): number {
  const t = 2 * x;
  const quarter = Math.floor(t + 0.5);
  const rest = t - quarter;
  const turn = quarter - 4 * Math.floor(quarter / 4);
  if (turn === 0) return cosQuarter(rest);
  if (turn === 1) return -sinQuarter(rest);
  return turn === 2 ? -cosQuarter(rest) : sinQuarter(rest);
}

/** e to the power x, for −700 < x < 700; 0 below. */
export function exp(x: number): number {
  if (x < -700) return 0;
  const k = Math.floor(x / (LN2_HIGH + LN2_LOW) + 0.5);
  const r = x - k * LN2_HIGH - k * LN2_LOW;
  let sum = 1;
  for (let i = 17; i >= 1; i--) sum = 1 + (r * sum) / i;
  return sum * powerOfTwo(k);
}

/** 2 to a whole power, exactly. */
export function powerOfTwo(k: number): number {
  let out = 1;
  let factor = k < 0 ? 0.5 : 2;
  for (let n = k < 0 ? -k : k; n > 0; n = Math.floor(n / 2)) {
    if (n % 2 === 1) out *= factor;
    factor *= factor;
  }
  return out;
}
