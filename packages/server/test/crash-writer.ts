/**
 * The program that the crash test kills: saves without end, and tells of each save on its standard output, after the
 * store has acknowledged it. Arguments: folder of the workspace, seed.
 */
import { createHash } from 'node:crypto';
import { writeSync } from 'node:fs';
import { dailyBackup } from '../src/backup.ts';
import { openWorkspace } from '../src/workspace.ts';

const [folder, seed] = process.argv.slice(2) as [string, string];
const { store, sqlite, place } = openWorkspace({ folder });

let state = Number(seed) >>> 0;
/** Mulberry32: the same seed writes the same. */
function random(): number {
  state = (state + 0x6d2b79f5) >>> 0;
  let t = Math.imul(state ^ (state >>> 15), 1 | state);
  t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
  return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
}

/** One write call a line: what arrives was acknowledged, and a torn line is told apart by its missing end. */
function tell(...words: (string | number)[]): void {
  writeSync(1, `${words.join(' ')} .\n`);
}

const content = (name: string): string =>
  JSON.stringify({ name, fill: 'x'.repeat(Math.floor(random() ** 4 * 60_000)), at: random() });
const hash = (text: string): string => createHash('sha256').update(text).digest('hex');

tell('ready');
const mine: { id: string; version: number }[] = [];
for (let n = 0; ; n++) {
  const dice = random();
  const known = mine[Math.floor(random() * mine.length)];
  if (dice < 0.45 || !known) {
    const text = content(`piece ${n}`);
    const { head } = store.create(
      { kind: 'pieces', name: `piece ${seed} ${n}`, content: text, links: [] },
      { once: { key: `key-${seed}-${n}`, requestHash: hash(text) } },
    );
    mine.push({ id: head.id, version: 1 });
    tell('saved', head.id, 1, hash(text));
  } else if (dice < 0.85) {
    const text = content(`again ${n}`);
    const { head } = store.replace(
      known.id,
      { kind: 'pieces', name: known.id, content: text, links: [] },
      known.version,
    );
    known.version = head.version;
    tell('saved', head.id, head.version, hash(text));
  } else if (dice < 0.9) {
    store.remove('pieces', known.id, known.version);
    mine.splice(mine.indexOf(known), 1);
    tell('deleted', known.id, known.version, '-');
  } else if (dice < 0.99) {
    // Two documents in one transaction: both or none.
    const [a, b] = store.together(() => {
      const first = store.create({
        kind: 'machines',
        name: `machine ${seed} ${n}`,
        content: '{"a":1}',
        links: [],
      });
      const second = store.create({
        kind: 'settings',
        name: `setting ${seed} ${n}`,
        content: '{"b":2}',
        links: [{ field: 'machine', kind: 'machines', id: first.head.id }],
      });
      return [first.head.id, second.head.id];
    });
    tell('together', a!, b!, '-');
  } else {
    // A backup of another day every time, so that one is being made now and then when the end comes.
    dailyBackup(sqlite, place, new Date(Date.UTC(2026, 0, 1 + Math.floor(random() * 365))));
    tell('backup', '-', '-', '-');
  }
}
