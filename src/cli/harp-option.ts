/** `--harp 47|46|44|40|lever34`: the instrument that a call is about. */

import { CONCERT_HARP, INSTRUMENTS, type Instrument, LEVER_HARP, type LeverHarp } from '../harp/instrument';
import { type Parsed, UsageError, optionText } from './args';

const NAMES: Readonly<Record<string, Instrument | LeverHarp>> = {
  ...Object.fromEntries(INSTRUMENTS.map((i) => [String(i.highest - i.lowest + 1), i])),
  lever34: LEVER_HARP,
};

/** The harp asked for; the concert harp where none is named. A lever harp has `levers`. */
export function harpOption(parsed: Parsed): Instrument | LeverHarp {
  const given = optionText(parsed, 'harp');
  if (given === null) return CONCERT_HARP;
  const name = given.trim().toLowerCase().replace(/[\s-]/g, '');
  const found = Object.hasOwn(NAMES, name) ? NAMES[name] : undefined;
  if (found === undefined)
    throw new UsageError(`--harp is ${Object.keys(NAMES).reverse().join(', ')}, not “${given}”.`);
  return found;
}

/** A harp with pedals, or a sentence that says why a lever harp is not taken. */
export function pedalHarpOption(parsed: Parsed, why: string): Instrument {
  const harp = harpOption(parsed);
  if ('levers' in harp) throw new UsageError(why);
  return harp;
}
