// Builds the terminal program into dist/cli, beside the old one, and swaps the folders at the end: no half-built state.
import { chmodSync, existsSync, mkdirSync, renameSync, rmSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'vite';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');
const out = join(root, 'dist', 'cli');
const fresh = `${out}.new-${process.pid}`;
const old = `${out}.old-${process.pid}`;

await build({
  root,
  configFile: false,
  logLevel: 'warn',
  ssr: { noExternal: true, external: ['verovio'] },
  build: {
    ssr: join(root, 'src', 'cli', 'harpwright.ts'),
    outDir: fresh,
    emptyOutDir: true,
    copyPublicDir: false,
    target: 'node20',
    minify: false,
    rollupOptions: { output: { entryFileNames: 'harpwright.js', chunkFileNames: '[name]-[hash].js' } },
  },
});
chmodSync(join(fresh, 'harpwright.js'), 0o755);
mkdirSync(dirname(out), { recursive: true });
if (existsSync(out)) renameSync(out, old);
renameSync(fresh, out);
rmSync(old, { recursive: true, force: true });
