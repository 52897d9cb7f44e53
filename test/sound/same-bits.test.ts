/** Engines differ in sin, exp, pow and log: the synthesis uses none of them, nor chance nor clock. */
import { createHash } from 'node:crypto';
import { readFileSync, readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { NATURAL_SETTING } from '../../src/harp/setting';
import { renderWav } from '../../src/sound/render-wav';
import { note } from './sketch';

const FOLDER = new URL('../../src/sound/', import.meta.url);
/** Exact in every engine (ECMA-262: correctly rounded, or no rounding at all). */
const EXACT = ['floor', 'ceil', 'round', 'abs', 'min', 'max', 'sqrt', 'sign', 'trunc'];

describe('synthesis', () => {
  const files = readdirSync(FOLDER).filter((name) => name.endsWith('.ts'));
  it.each(files)('%s uses only + − × ÷ √', (name) => {
    const code = readFileSync(new URL(name, FOLDER), 'utf8')
      .replaceAll(/\/\*[\s\S]*?\*\//g, '')
      .replaceAll(/\/\/.*$/gm, '');
    const used = [...code.matchAll(/Math\.(\w+)/g)].map((m) => m[1]!);
    expect(used.filter((f) => !EXACT.includes(f))).toEqual([]);
    expect(code).not.toMatch(/\*\*|Date\.now|performance\.now|new Date/);
  });

  it('gives these very bytes for this passage: a change must be meant', () => {
    const notes = Array.from({ length: 24 }, (_, i) =>
      note({
        string: (i * 11) % 47,
        at: i / 8,
        setting: NATURAL_SETTING,
        dynamic: i % 3 === 0 ? 'f' : 'p',
        ...(i % 7 === 0 ? { bends: [[i / 8 + 0.4, 1]] as const } : {}),
        ...(i % 5 === 0 ? { damp: i / 8 + 0.3 } : {}),
      }),
    );
    const hash = (dry: boolean): string => {
      const { bytes } = renderWav(
        notes.map((n, i) => ({ ...n, id: `n${i}` })),
        { dry, bits: 24 },
      );
      return createHash('sha256').update(bytes).digest('hex').slice(0, 16);
    };
    expect({ house: hash(false), dry: hash(true) }).toEqual({
      house: 'f9f896caaa8d8c0f',
      dry: '44dae6626251633c',
    });
  });
});
