import open, {
  type Clipper2Module,
  type EnumValue,
  type ModuleOptions,
  type Path64,
  type Paths64,
} from 'clipper2-wasm/dist/es/clipper2z.js';
import { GeometryError } from './errors.ts';
import { GRID, GRID_PER_UNIT } from './grid.ts';
import { coordinate, type PathBuffer, pathBuffer, put, reserve } from './path-buffer.ts';
import { type Ring, ringArea } from './ring.ts';

/** Largest coordinate accepted. Far beyond any bench, far inside the kernel's exact integer range. */
export const MAX_COORDINATE = 1e6;

export type FillRule = 'nonzero' | 'evenodd';
export type KernelFillRule = FillRule | 'positive';
export type BooleanOperation = 'union' | 'intersection' | 'difference' | 'xor';

export interface KernelSource {
  /** Where the page serves the kernel's files: gets `clipper2z.wasm`, returns its address. */
  readonly locateFile?: (name: string) => string;
  /** The WASM file's bytes, when the caller has them already. */
  readonly wasmBinary?: Uint8Array;
}

/** A ring whose vertices carry the numbers of the vertices they came from, or 0. */
export interface TaggedRing {
  readonly ring: Ring;
  readonly tags: Int32Array;
}

interface Kernel {
  readonly module: Clipper2Module;
  readonly path: Path64;
  readonly subjects: Paths64;
  readonly clips: Paths64;
  readonly operations: Readonly<Record<BooleanOperation, EnumValue>>;
  readonly fillRules: Readonly<Record<KernelFillRule, EnumValue>>;
}

let kernel: Kernel | undefined;
let opening: Promise<void> | undefined;

/**
 * Loads the polygon kernel; every region operation needs it. Idempotent: later calls return the first one's
 * promise and ignore their argument. A failed load can be tried again.
 */
export function openKernel(source: KernelSource = {}): Promise<void> {
  opening ??= load(source).catch((cause: unknown) => {
    opening = undefined;
    throw new GeometryError(
      'kernel-failed',
      `The polygon kernel did not load (${String(cause)}). Pass openKernel a locateFile that returns the address of clipper2z.wasm, or its bytes as wasmBinary.`,
      { cause: String(cause) },
    );
  });
  return opening;
}

async function load(source: KernelSource): Promise<void> {
  const options: ModuleOptions = { print: () => {}, printErr: () => {} };
  if (source.locateFile) options.locateFile = source.locateFile;
  if (source.wasmBinary) options.wasmBinary = source.wasmBinary;
  const module = await open(options);
  kernel = {
    module,
    path: new module.Path64(),
    subjects: new module.Paths64(),
    clips: new module.Paths64(),
    operations: {
      union: module.ClipType.Union,
      intersection: module.ClipType.Intersection,
      difference: module.ClipType.Difference,
      xor: module.ClipType.Xor,
    },
    fillRules: {
      nonzero: module.FillRule.NonZero,
      evenodd: module.FillRule.EvenOdd,
      positive: module.FillRule.Positive,
    },
  };
}

/** Bytes of WASM memory in use, 0 before openKernel. WASM memory never shrinks: a steady figure means no leak. */
export function kernelHeapBytes(): number {
  return kernel ? kernel.module.HEAPU8.byteLength : 0;
}

/** Objects in WASM memory that have been made and not deleted, for tests. */
export function liveHandles(): number {
  return handles;
}

/** @throws GeometryError kernel-closed */
export function requireKernel(): void {
  opened();
}

function opened(): Kernel {
  if (kernel) return kernel;
  throw new GeometryError(
    'kernel-closed',
    'The polygon kernel is not loaded. Await openKernel() once, before the first region operation.',
  );
}

/** Boolean of two sets of rings, read by `fillRule`. Rings come back snapped, outers ccw and holes cw. */
export function kernelBoolean(
  operation: BooleanOperation,
  subjects: readonly Ring[],
  clips: readonly Ring[],
  fillRule: KernelFillRule,
): Ring[] {
  const k = opened();
  try {
    fill(k, k.subjects, subjects);
    fill(k, k.clips, clips);
    return take(
      k.module.BooleanOp64(k.operations[operation], k.fillRules[fillRule], k.subjects, k.clips),
      plainRing,
    );
  } finally {
    k.subjects.clear();
    k.clips.clear();
  }
}

/**
 * The part of positive winding of raw paths. `next` writes a path into the buffer and returns true, or returns
 * false when there are no more; empty paths are skipped. Tags come back with the vertices that carried them;
 * new vertices have tag 0.
 */
export function kernelPositive(next: (buffer: PathBuffer) => boolean): TaggedRing[] {
  const k = opened();
  try {
    while (next(buffer)) {
      if (buffer.count > 0) push(k, k.subjects, buffer);
    }
    return take(
      k.module.BooleanOp64(k.operations.union, k.fillRules.positive, k.subjects, k.clips),
      taggedRing,
    );
  } finally {
    k.subjects.clear();
  }
}

/** Offset by a disk, done by the kernel itself: the slow twin of offset.ts, for tests and benches. */
export function kernelInflate(rings: readonly Ring[], distance: number, arcTolerance: number): Ring[] {
  const k = opened();
  try {
    fill(k, k.subjects, rings);
    const { JoinType, EndType } = k.module;
    return take(
      k.module.InflatePaths64(
        k.subjects,
        distance * GRID_PER_UNIT,
        JoinType.Round,
        EndType.Polygon,
        2,
        arcTolerance * GRID_PER_UNIT,
      ),
      plainRing,
    );
  } finally {
    k.subjects.clear();
  }
}

const buffer = pathBuffer();

function push(k: Kernel, into: Paths64, { integers, count }: PathBuffer): void {
  k.path.assign(integers.subarray(0, 3 * count));
  into.push_back(k.path);
}

function fill(k: Kernel, into: Paths64, rings: readonly Ring[]): void {
  for (let r = 0; r < rings.length; r++) {
    const ring = rings[r]!;
    checkRing(ring, r);
    const count = ring.length >> 1;
    reserve(buffer, count);
    const { words } = buffer;
    for (let i = 0; i < count; i++) put(words, i, ring[2 * i]!, ring[2 * i + 1]!, 0);
    buffer.count = count;
    push(k, into, buffer);
  }
}

/** @throws GeometryError bad-ring, bad-coordinate */
export function checkRing(ring: Ring, index: number): void {
  if (ring.length & 1) {
    throw new GeometryError(
      'bad-ring',
      `Ring ${index} has ${ring.length} numbers; a ring is x, y pairs, so the count must be even.`,
      { ring: index, length: ring.length },
    );
  }
  for (let i = 0; i < ring.length; i++) {
    const value = ring[i]!;
    if (!(value <= MAX_COORDINATE && value >= -MAX_COORDINATE)) {
      throw badCoordinate(index, i >> 1, ring[i & ~1]!, ring[i | 1]!);
    }
  }
}

export function badCoordinate(ring: number, vertex: number, x: number, y: number): GeometryError {
  return new GeometryError(
    'bad-coordinate',
    `Ring ${ring}, vertex ${vertex} is (${x}, ${y}). Coordinates must be finite and within ±${MAX_COORDINATE}; check the numbers this outline was made from.`,
    { ring, vertex, x, y },
  );
}

let handles = 0;

/** Copies the result out and frees it. */
function take<T>(result: Paths64, read: (integers: BigInt64Array) => T | null): T[] {
  handles++;
  try {
    const rings: T[] = [];
    const size = result.size();
    for (let r = 0; r < size; r++) {
      const path = result.get(r);
      handles++;
      try {
        const ring = read(path.view());
        if (ring !== null) rings.push(ring);
      } finally {
        path.delete();
        handles--;
      }
    }
    return rings;
  } finally {
    result.delete();
    handles--;
  }
}

function plainRing(integers: BigInt64Array): Ring | null {
  return copyRing(integers, null);
}

function taggedRing(integers: BigInt64Array): TaggedRing | null {
  const tags = new Int32Array(integers.length / 3);
  const ring = copyRing(integers, tags);
  return ring && { ring, tags: tags.length === ring.length / 2 ? tags : tags.slice(0, ring.length / 2) };
}

/** Copies vertices without repeats; null when nothing is left but rounding. */
function copyRing(integers: BigInt64Array, tags: Int32Array | null): Ring | null {
  const words = new Int32Array(integers.buffer, integers.byteOffset, 2 * integers.length);
  const ring = new Float64Array((2 * integers.length) / 3);
  let n = 0;
  for (let i = 0; i < words.length; i += 6) {
    const x = coordinate(words, i);
    const y = coordinate(words, i + 2);
    if (n > 0 && ring[n - 2] === x && ring[n - 1] === y) continue;
    if (tags) tags[n >> 1] = words[i + 4]!;
    ring[n++] = x;
    ring[n++] = y;
  }
  while (n > 2 && ring[0] === ring[n - 2] && ring[1] === ring[n - 1]) n -= 2;
  if (n < 6) return null;
  const tidy = n === ring.length ? ring : ring.slice(0, n);
  return isReal(tidy) ? tidy : null;
}

/**
 * False of rings without area and of holes thinner than a grid step on average: a sliver outside everything can be
 * turned inside out by rounding, and would be a hole in nothing.
 */
function isReal(ring: Ring): boolean {
  const area = ringArea(ring);
  if (area >= 0) return area > 0;
  let length = 0;
  for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
    length += Math.abs(ring[i]! - ring[j]!) + Math.abs(ring[i + 1]! - ring[j + 1]!);
  }
  return -2 * area >= GRID * length;
}
