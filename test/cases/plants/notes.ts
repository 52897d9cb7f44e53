// Notes that the instrument does not have, or not at once.
import { type Plant, POSITIONS, withPlucks, replaced, pluckAt, pickPluck, pedalled } from './ground';

export const NOTES: Readonly<Record<string, Plant>> = {
  'above the compass': (g, random) => {
    const p = pickPluck(g, random, () => true);
    if (p === null) return null;
    const part = replaced(g, p, { pitch: { ...p.pitch, octave: 8 } });
    return { part, code: 'range', severity: 'error', onset: p.onset };
  },
  'below the compass': (g, random) => {
    const p = pickPluck(g, random, () => true);
    if (p === null) return null;
    const part = replaced(g, p, { pitch: { ...p.pitch, octave: 0 } });
    return { part, code: 'range', severity: 'error', onset: p.onset };
  },
  'one letter in two inflections': (g, random) => {
    const p = pickPluck(g, random, (x) => pedalled(x) && x.pitch.octave < 6 && Math.abs(x.pitch.alter) <= 1);
    if (p === null) return null;
    const alter = random.pick(POSITIONS.filter((a) => a !== p.pitch.alter));
    const pitch = { ...p.pitch, alter, octave: p.pitch.octave + 1 };
    const part = withPlucks(g, [pluckAt(p.onset, pitch, p.hand ?? 'R', 'clash')]);
    return { part, code: 'clash', severity: 'error', onset: p.onset, kind: 'letter' };
  },
  'both hands on one string': (g, random) => {
    const p = pickPluck(g, random, (x) => x.hand !== null && x.staff === undefined);
    if (p === null) return null;
    const part = withPlucks(g, [pluckAt(p.onset, p.pitch, p.hand === 'R' ? 'L' : 'R', 'both')]);
    return { part, code: 'clash', severity: 'error', onset: p.onset, kind: 'string' };
  },
};
