/** Branded numbers, so that ticks, seconds, hertz and cents cannot be mixed in silence. */

declare const unit: unique symbol;
type Unit<Name extends string> = number & { readonly [unit]: Name };

/** Musical time: integer ticks from the start of the passage, 3,360 to the quarter note. */
export type Ticks = Unit<'ticks'>;
/** Clock time in seconds. */
export type Seconds = Unit<'seconds'>;
/** Clock time in integer microseconds: what rules and plans compare, so that no rounding decides. */
export type Micros = Unit<'microseconds'>;
/** Frequency in hertz. */
export type Hertz = Unit<'hertz'>;
/** Pitch distance in cents (1/1200 octave). */
export type Cents = Unit<'cents'>;

/** Ticks in a quarter note: divides by 2, 3, 5, 7 and 32. */
export const TICKS_PER_QUARTER = 3360;

export const ticks = (n: number): Ticks => n as Ticks;
export const seconds = (n: number): Seconds => n as Seconds;
export const micros = (n: number): Micros => n as Micros;
export const hertz = (n: number): Hertz => n as Hertz;
export const cents = (n: number): Cents => n as Cents;

/** Ticks of a note value written as a fraction of a whole note: `noteTicks(1, 8)` is an eighth. */
export const noteTicks = (numerator: number, denominator: number): Ticks =>
  ticks((4 * TICKS_PER_QUARTER * numerator) / denominator);
