// Installs what is missing: the locked packages, and with --browser a Chromium where none is found (Debian, as root).
import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');
const run = (command, args) =>
  execFileSync(command, args, { cwd: root, stdio: 'inherit', shell: process.platform === 'win32' });

const major = Number(process.versions.node.split('.')[0]);
if (major < 20) {
  console.error(`Harpwright needs Node 20 or later; this is Node ${process.versions.node}.`);
  process.exit(1);
}

const lock = join(root, 'package-lock.json');
const installed = join(root, 'node_modules', '.package-lock.json');
const sameLock = () => {
  if (!existsSync(installed)) return false;
  if (statSync(installed).mtimeMs >= statSync(lock).mtimeMs) return true;
  const versions = (file) => {
    const { packages } = JSON.parse(readFileSync(file, 'utf8'));
    return new Map(
      Object.entries(packages)
        .filter(([name]) => name !== '')
        .map(([name, p]) => [name, p.version]),
    );
  };
  const have = versions(installed);
  const optional = JSON.parse(readFileSync(lock, 'utf8')).packages;
  return [...versions(lock)].every(
    ([name, version]) => have.get(name) === version || optional[name]?.optional === true,
  );
};
if (!sameLock()) run('npm', ['ci', '--no-fund', '--no-audit']);
else if (!existsSync(join(root, 'dist', 'cli', 'harpwright.js'))) run('npm', ['run', 'prepare']);

if (process.argv.includes('--browser')) {
  const { findChromium } = await import('./find-chromium.mjs');
  if (findChromium() === null) {
    const debian = process.platform === 'linux' && existsSync('/usr/bin/apt-get') && process.getuid?.() === 0;
    if (!debian) {
      console.error(
        'The browser tests need Chrome or Chromium and found none. Install one, or set CHROMIUM_PATH to its program file.',
      );
      process.exit(1);
    }
    run('apt-get', ['update', '-qq']);
    run('apt-get', ['install', '-y', '-qq', 'chromium']);
  }
}
