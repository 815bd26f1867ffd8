import { type ChildProcess, spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'vite';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openWorkspace } from '../src/index.ts';
import { faultsOf, openSqlite } from '../src/storage/sqlite.ts';

/**
 * Kills a program that saves, with SIGKILL at random moments, and looks whether every acknowledged save is there. A
 * killed process is not a power cut: what the system holds for the disk survives the first and not the second, which
 * synchronous=FULL is for and no test here can show.
 */
const KILLS = 220;
const LANES = 2;
/** Kills that one workspace goes through; later ones find a file with many versions in it. */
const KILLS_A_WORKSPACE = 22;
const SEED = 20261120;
const root = fileURLToPath(new URL('../../..', import.meta.url));
let script: string;
let folder: string;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'inlaywright-crash-'));
  // From the sources, as all tests; below the project, so that the database binding is found.
  const outDir = join(root, '.cache', `crash-writer-${process.pid}`);
  const conditions = ['@inlaywright/source', 'node', 'import', 'default'];
  await build({
    configFile: false,
    logLevel: 'error',
    root,
    ssr: { noExternal: true, external: ['libsql'], resolve: { conditions } },
    resolve: { conditions },
    build: {
      ssr: fileURLToPath(new URL('crash-writer.ts', import.meta.url)),
      outDir,
      emptyOutDir: true,
      minify: false,
    },
  });
  script = join(outDir, readdirSync(outDir).find((name) => /^crash-writer\.m?js$/.test(name))!);
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
  if (script) rmSync(join(script, '..'), { recursive: true, force: true });
});

interface Acknowledged {
  readonly saved: Map<string, string>;
  readonly deleted: Map<string, number>;
  readonly together: [string, string][];
}

interface Tally {
  kills: number;
  duringStart: number;
  underWrites: number;
  acknowledged: number;
  lost: string[];
  faults: string[];
  backups: number;
}

test(`${KILLS} kills at random moments lose no acknowledged save and leave sound files`, {
  timeout: 180_000,
}, async () => {
  const tally: Tally = {
    kills: 0,
    duringStart: 0,
    underWrites: 0,
    acknowledged: 0,
    lost: [],
    faults: [],
    backups: 0,
  };
  const started = performance.now();
  await Promise.all(Array.from({ length: LANES }, (_, lane) => runLane(lane, tally)));
  const seconds = ((performance.now() - started) / 1000).toFixed(1);
  console.log(
    `seed ${SEED}: ${tally.kills} kills (${tally.underWrites} after at least one save, ${tally.duringStart} while starting), ` +
      `${tally.acknowledged} acknowledged saves, ${tally.lost.length} lost, ${tally.faults.length} faults, ` +
      `${tally.backups} backups sound, ${seconds} s`,
  );
  expect(tally.kills).toBeGreaterThanOrEqual(200);
  // A run in which nothing was written, or nothing was cut off, would show nothing.
  expect(tally.underWrites).toBeGreaterThan(KILLS / 2);
  expect(tally.acknowledged).toBeGreaterThan(5 * KILLS);
  expect(tally.lost).toEqual([]);
  expect(tally.faults).toEqual([]);
});

async function runLane(lane: number, tally: Tally): Promise<void> {
  const random = mulberry32(SEED + lane);
  for (let round = 0; round < KILLS / LANES; ) {
    const place = join(folder, `workspace-${lane}-${round}`);
    const known: Acknowledged = { saved: new Map(), deleted: new Map(), together: [] };
    for (let kill = 0; kill < KILLS_A_WORKSPACE && round < KILLS / LANES; kill++, round++) {
      await killOnce(place, SEED + 1000 * lane + round, random, known, tally);
      examine(place, known, tally);
    }
    rmSync(place, { recursive: true, force: true });
  }
}

/** Starts the writer and kills it: mostly some saves after it began, now and then while it opens the file. */
async function killOnce(
  place: string,
  seed: number,
  random: () => number,
  known: Acknowledged,
  tally: Tally,
): Promise<void> {
  const child = spawn(process.execPath, [script, place, String(seed)], { stdio: ['ignore', 'pipe', 'pipe'] });
  let text = '';
  let trouble = '';
  child.stderr!.on('data', (data) => {
    trouble += String(data);
  });
  // A moment is a number of saves and a little more: counted in time alone, a busy machine would be killed before its first.
  const early = random() < 0.15;
  const wanted = Math.floor(random() ** 2 * 70);
  const moreMs = early ? 30 + random() * 150 : random() * 8;
  const reached = new Promise<void>((resolve) => {
    child.stdout!.setEncoding('utf8');
    child.stdout!.on('data', (data: string) => {
      text += data;
      if (text.split('\n').length > wanted + 1) resolve();
    });
    child.stdout!.on('end', () => resolve());
  });
  if (!early) await reached;
  await new Promise((resolve) => setTimeout(resolve, moreMs));
  const ended = exitOf(child);
  child.kill('SIGKILL');
  expect(await ended, trouble).toBe('SIGKILL');
  const told = text.split('\n').filter((line) => line.endsWith(' .'));
  const before = tally.acknowledged;
  for (const line of told) take(line, known, tally);
  tally.kills += 1;
  if (told.length === 0) tally.duringStart += 1;
  if (tally.acknowledged > before) tally.underWrites += 1;
}

function exitOf(child: ChildProcess): Promise<string | null> {
  // 'close' comes after the last of the output has been read.
  return new Promise((resolve) => child.once('close', (_code, signal) => resolve(signal)));
}

function take(line: string, known: Acknowledged, tally: Tally): void {
  const [what, a, b, hash] = line.split(' ') as [string, string, string, string];
  if (what === 'saved') known.saved.set(`${a} ${b}`, hash);
  else if (what === 'deleted') known.deleted.set(a, Number(b));
  else if (what === 'together') known.together.push([a, b]);
  else return;
  tally.acknowledged += 1;
}

function examine(place: string, known: Acknowledged, tally: Tally): void {
  const { store, sqlite, close, place: files } = openWorkspace({ folder: place });
  tally.faults.push(...faultsOf(sqlite));
  for (const [name, hash] of known.saved) {
    const [id, version] = name.split(' ') as [string, string];
    let content: string | undefined;
    try {
      content = store.version('pieces', id, Number(version))?.content;
    } catch {
      content = undefined;
    }
    if (content === undefined || createHash('sha256').update(content).digest('hex') !== hash)
      tally.lost.push(name);
  }
  for (const [id] of known.deleted) {
    if (store.get('pieces', id)?.deletedAt == null) tally.lost.push(`deletion of ${id}`);
  }
  for (const [machine, setting] of known.together) {
    if (!store.get('machines', machine) || !store.get('settings', setting))
      tally.lost.push(`${machine} ${setting}`);
  }
  // What was not acknowledged is there whole or not at all: never a machine without its setting, nor a version without its change.
  const halves = sqlite.first(
    `SELECT (SELECT count(*) FROM document WHERE kind = 'machines') - (SELECT count(*) FROM document WHERE kind = 'settings') AS machines,
            (SELECT count(*) FROM version) - (SELECT count(*) FROM change WHERE action = 'saved') AS versions`,
  )!;
  if (halves.machines !== 0 || halves.versions !== 0) tally.faults.push(`halves: ${JSON.stringify(halves)}`);
  close();
  tally.faults.push(...soundBackups(files.backups, tally));
}

/** A backup that was cut off never has its name: whatever is named as one is whole. */
function soundBackups(backups: string, tally: Tally): string[] {
  let names: string[];
  try {
    names = readdirSync(backups).filter((name) => /^\d{4}-\d\d-\d\d\.sqlite$/.test(name));
  } catch {
    return [];
  }
  return names.flatMap((name) => {
    const sqlite = openSqlite(join(backups, name));
    const faults = faultsOf(sqlite);
    sqlite.close();
    tally.backups += 1;
    rmSync(join(backups, name));
    return faults;
  });
}

function mulberry32(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}
