import { svelte } from '@sveltejs/vite-plugin-svelte';
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';

const here = fileURLToPath(new URL('.', import.meta.url));

export default defineConfig({
  base: './',
  plugins: [svelte({ configFile: false })],
  root: 'src/app',
  cacheDir: here + 'node_modules/.vite',
  publicDir: '../../public',
  build: {
    outDir: '../../dist/page',
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0,
    chunkSizeWarningLimit: 9000,
  },
  worker: { format: 'es' },
  preview: { port: 4747 },
  test: {
    projects: [
      {
        extends: true,
        root: here,
        test: {
          name: 'unit',
          include: ['test/**/*.test.ts'],
          exclude: ['test/browser/**'],
          testTimeout: 60_000,
        },
      },
      {
        extends: true,
        root: here,
        test: {
          name: 'browser',
          include: ['test/browser/**/*.test.ts'],
          testTimeout: 120_000,
          hookTimeout: 120_000,
          fileParallelism: false,
        },
      },
    ],
  },
});
