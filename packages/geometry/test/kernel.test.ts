import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { describe, expect, it, vi } from 'vitest';
import type * as Geometry from '../src/index.ts';
import type * as Kernel from '../src/kernel.ts';

const wasmFile = createRequire(import.meta.url).resolve('clipper2-wasm/dist/es/clipper2z.wasm');

/** A fresh copy of the package with a kernel of its own. */
async function fresh(): Promise<typeof Geometry & Pick<typeof Kernel, 'liveHandles' | 'kernelInflate'>> {
  vi.resetModules();
  return { ...(await import('../src/index.ts')), ...(await import('../src/kernel.ts')) };
}

function codeOf(act: () => unknown): unknown {
  try {
    act();
  } catch (error) {
    return (error as { code?: unknown }).code;
  }
  return 'no error';
}

const square = Float64Array.of(0, 0, 4, 0, 4, 4, 0, 4);

describe('openKernel', () => {
  it('is needed before any operation', async () => {
    const g = await fresh();
    const region = { rings: [square] };
    expect(g.kernelHeapBytes()).toBe(0);
    for (const act of [
      () => g.regionFromRings([square], 'nonzero'),
      () => g.regionFromCurves([], 'nonzero'),
      () => g.union([region]),
      () => g.intersection(region, region),
      () => g.difference(region, region),
      () => g.symmetricDifference(region, region),
      () => g.offset(region, 1),
      () => g.offsetEllipse(region, 1, 2, 1),
      () => g.closing(region, 1),
      () => g.openingEllipse(region, 1, 2),
      () => g.transformRegion(region, g.identity),
    ]) {
      expect(codeOf(act)).toBe('kernel-closed');
    }
    expect(() => g.union([region])).toThrow(/openKernel/);
  });

  it('loads by itself, once', async () => {
    const g = await fresh();
    const first = g.openKernel();
    expect(g.openKernel()).toBe(first);
    await first;
    await g.openKernel({ locateFile: () => '/nowhere' });
    expect(g.regionArea(g.regionFromRings([square], 'nonzero'))).toBe(16);
    expect(g.kernelHeapBytes()).toBeGreaterThan(0);
  });

  it('loads from where locateFile says, or from bytes', async () => {
    const asked: string[] = [];
    const located = await fresh();
    await located.openKernel({
      locateFile: (name) => {
        asked.push(name);
        return wasmFile;
      },
    });
    expect(asked).toContain('clipper2z.wasm');
    expect(located.regionArea(located.regionFromRings([square], 'nonzero'))).toBe(16);

    const given = await fresh();
    await given.openKernel({
      wasmBinary: new Uint8Array(await readFile(wasmFile)),
      locateFile: () => '/nowhere/clipper2z.wasm',
    });
    expect(given.regionArea(given.regionFromRings([square], 'nonzero'))).toBe(16);
  });

  it('says so when it cannot, and can be tried again', async () => {
    const g = await fresh();
    await expect(g.openKernel({ locateFile: () => '/nowhere/clipper2z.wasm' })).rejects.toMatchObject({
      name: 'GeometryError',
      code: 'kernel-failed',
    });
    await g.openKernel();
    expect(g.regionArea(g.regionFromRings([square], 'nonzero'))).toBe(16);
  });
});

describe('WASM memory', () => {
  it('stays as it is over 10,000 operations of all kinds, failing ones too', async () => {
    const g = await fresh();
    await g.openKernel();
    const wavy = (x: number, sides: number): Float64Array => {
      const ring = new Float64Array(2 * sides);
      for (let i = 0; i < sides; i++) {
        const angle = (2 * Math.PI * i) / sides;
        const radius = 5 + Math.cos(7 * angle + x);
        ring[2 * i] = x + radius * Math.cos(angle);
        ring[2 * i + 1] = radius * Math.sin(angle);
      }
      return ring;
    };
    const a = g.regionFromRings([wavy(0, 400), wavy(0.1, 90).map((v) => v / 3)], 'evenodd');
    const b = g.regionFromRings([wavy(3, 400)], 'nonzero');
    const c = g.regionFromRings([wavy(30, 100)], 'nonzero');
    // The bad number comes last, when all that goes before it is already in WASM memory.
    const broken = { rings: [...a.rings, wavy(2, 400)] };
    broken.rings[2]![799] = Number.NaN;
    const odd = { rings: [b.rings[0]!, new Float64Array(801)] };
    const operations: readonly (() => unknown)[] = [
      () => g.union([a, b]),
      () => g.union([a, b, c]),
      () => g.intersection(a, b),
      () => g.difference(a, b),
      () => g.symmetricDifference(a, b),
      () => g.difference(a, c),
      () => g.offset(a, 0.1),
      () => g.offset(a, -0.2),
      () => g.offset(a, -20),
      () => g.closing(a, 0.2),
      () => g.opening(b, 0.2),
      () => g.offsetEllipse(b, 0.1, 0.2, 1),
      () => g.regionFromRings([wavy(1, 300)], 'evenodd'),
      () => g.transformRegion(c, { a: 0, b: 1, c: 1, d: 0, e: 2, f: 3 }),
      () => g.kernelInflate(c.rings, 0.1, 5e-4),
    ];
    const failing: readonly (() => unknown)[] = [
      () => g.union([a, broken]),
      () => g.difference(broken, b),
      () => g.regionFromRings(broken.rings, 'nonzero'),
      () => g.regionFromRings(odd.rings, 'nonzero'),
      () => g.offset(broken, 0.1),
      () => g.closing(odd, 0.1),
      () => g.kernelInflate(broken.rings, 0.1, 5e-4),
    ];
    let done = 0;
    let failed = 0;
    const round = (): void => {
      for (const operation of operations) {
        operation();
        done++;
      }
      for (const operation of failing) {
        if (/^bad-/.test(String(codeOf(operation)))) failed++;
        done++;
      }
    };
    for (let i = 0; i < 20; i++) round();
    const before = { bytes: g.kernelHeapBytes(), handles: g.liveHandles() };
    while (done < 10_440) round();
    expect({ bytes: g.kernelHeapBytes(), handles: g.liveHandles() }).toEqual(before);
    expect(failed).toBe((done / 22) * 7);
    // A leak of one vertex list an operation would have been 10,000 x 400 x 24 bytes: far more than the slack.
    expect(before.bytes).toBeLessThan(40e6);
  }, 60_000);
});
