// The README's terminal lines do what it says.
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { run } from '../src/cli/async-main';

const folder = mkdtempSync(join(tmpdir(), 'harpwright-readme-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const readme = readFileSync(new URL('../README.md', import.meta.url), 'utf8');
const lines = [...readme.matchAll(/^npx harpwright (.+)$/gm)].map((m) => m[1] as string);

/** Splits a line as a shell would: words, or text in double quotes. */
const words = (line: string): string[] =>
  [...line.matchAll(/"([^"]*)"|(\S+)/g)].map((m) => m[1] ?? (m[2] as string));

describe('README', () => {
  it('has lines for the terminal', () => expect(lines.length).toBeGreaterThanOrEqual(9));

  it.each(lines)('npx harpwright %s', async (line) => {
    let out = '';
    let err = '';
    const args = words(line).map((word) => word.replace(/^figures(?=\/|$)/, join(folder, 'figures')));
    const code = await run(args, { out: (t) => (out += t), err: (t) => (err += t) });
    expect(err).toBe('');
    expect(code).toBe(0);
    expect(out.length).toBeGreaterThan(10);
    const written = args[args.indexOf('--out') + 1];
    if (args.includes('--out')) expect(existsSync(written as string)).toBe(true);
  });

  it('says why each dependency is there', () => {
    const { dependencies, devDependencies } = JSON.parse(
      readFileSync(new URL('../package.json', import.meta.url), 'utf8'),
    ) as Record<string, Record<string, string>>;
    const table = readme.slice(readme.indexOf('| dependency'));
    const named = Object.keys({ ...dependencies, ...devDependencies }).filter(
      (name) => !name.startsWith('@types/'),
    );
    expect(named.filter((name) => !table.includes(name))).toEqual([]);
  });

  it('names two commands that the package has', () => {
    const { scripts } = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8')) as {
      scripts: Record<string, string>;
    };
    for (const [, name] of readme.matchAll(/^npm (start|test)$/gm))
      expect(scripts[name as string]).toBeDefined();
    expect([...readme.matchAll(/^npm (start|test)$/gm)]).toHaveLength(2);
  });
});
