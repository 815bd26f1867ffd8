// What `npm start`, `npm test` and `npm run build` have in common: nothing here may need an installed package,
// because the first thing they do on a fresh machine is to install.
import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const root = dirname(dirname(fileURLToPath(import.meta.url)));

/** Runs a program with the terminal attached; ends this process with its exit code if it fails. */
export function must(command, args, options = {}) {
  const code = attempt(command, args, options);
  if (code !== 0) process.exit(code);
}

/** Runs a program with the terminal attached and returns its exit code. */
export function attempt(command, args, options = {}) {
  const done = spawnSync(command, args, { cwd: root, stdio: 'inherit', ...options });
  if (done.error) {
    console.error(`${command}: ${done.error.message}`);
    return 1;
  }
  return done.status ?? 1;
}

/** The script of an installed package, run by this same Node so that no shell or PATH is involved. */
export function bin(path, args, options) {
  return attempt(process.execPath, [join(root, 'node_modules', path), ...args], options);
}

export function requireNode() {
  const [major, minor] = process.versions.node.split('.').map(Number);
  if (major > 20 || (major === 20 && minor >= 19)) return;
  console.error(`Inlaywright needs Node 20.19 or newer; this is ${process.versions.node}.`);
  process.exit(2);
}

/** Installs the dependencies of the lock file unless they are there already. */
export function ensureInstalled() {
  requireNode();
  const stamp = join(root, 'node_modules', '.package-lock.json');
  const lock = join(root, 'package-lock.json');
  if (existsSync(stamp) && statSync(stamp).mtimeMs >= statSync(lock).mtimeMs) return;
  console.log('Installing what is missing ...');
  must(
    process.platform === 'win32' ? 'npm.cmd' : 'npm',
    ['ci', '--no-audit', '--no-fund', '--loglevel', 'error'],
    {
      shell: process.platform === 'win32',
    },
  );
}

export const chromiumPath = '/usr/bin/chromium';

/**
 * Installs the browser and the DXF reader that the tests use as outside judges, on Debian as root.
 * Returns what is still missing, in words.
 */
export function ensureTestTools() {
  const missing = () => [
    ...(existsSync(chromiumPath) ? [] : ['chromium']),
    ...(hasEzdxf() ? [] : ['python3-ezdxf']),
  ];
  const wanted = missing();
  if (wanted.length === 0) return [];
  const apt = '/usr/bin/apt-get';
  if (existsSync(apt) && process.getuid?.() === 0) {
    console.log(`Installing ${wanted.join(' and ')} for the tests ...`);
    const quiet = {
      env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' },
      stdio: ['ignore', 'ignore', 'inherit'],
    };
    attempt(apt, ['update', '-qq'], quiet);
    attempt(apt, ['install', '-y', '-qq', '--no-install-recommends', ...wanted], quiet);
  }
  return missing();
}

function hasEzdxf() {
  const done = spawnSync('/usr/bin/python3', ['-c', 'import ezdxf'], { stdio: 'ignore' });
  return done.status === 0;
}

/** Newest change below a folder, in ms; 0 for one that does not exist. */
export function newest(path, skip = new Set(['node_modules', 'dist'])) {
  if (!existsSync(path)) return 0;
  const stat = statSync(path);
  if (!stat.isDirectory()) return stat.mtimeMs;
  let latest = 0;
  for (const name of readdirSync(path)) {
    if (!skip.has(name)) latest = Math.max(latest, newest(join(path, name), skip));
  }
  return latest;
}
