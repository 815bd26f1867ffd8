// clipper2-wasm ships types only for its package root, which is the UMD build; this declares the part of the
// ES build that kernel.ts uses. Handles live in WASM memory until delete().
declare module 'clipper2-wasm/dist/es/clipper2z.js' {
  export interface Handle {
    delete(): void;
  }
  export interface Path64 extends Handle {
    /** Interleaved x, y, z. */
    assign(coordinates: BigInt64Array): void;
    /** A window on WASM memory: copy before any other call. */
    view(): BigInt64Array;
  }
  export interface Paths64 extends Handle {
    size(): number;
    clear(): void;
    push_back(path: Path64): void;
    /** A copy that must be deleted. */
    get(index: number): Path64;
  }
  export interface EnumValue {
    readonly value: number;
  }
  export interface Clipper2Module {
    readonly HEAPU8: Uint8Array;
    readonly Path64: new () => Path64;
    readonly Paths64: new () => Paths64;
    readonly ClipType: Record<'Intersection' | 'Union' | 'Difference' | 'Xor', EnumValue>;
    readonly FillRule: Record<'EvenOdd' | 'NonZero' | 'Positive' | 'Negative', EnumValue>;
    readonly JoinType: Record<'Square' | 'Round' | 'Miter', EnumValue>;
    readonly EndType: Record<'Polygon', EnumValue>;
    BooleanOp64(clipType: EnumValue, fillRule: EnumValue, subjects: Paths64, clips: Paths64): Paths64;
    InflatePaths64(
      paths: Paths64,
      delta: number,
      joinType: EnumValue,
      endType: EnumValue,
      miterLimit: number,
      arcTolerance: number,
    ): Paths64;
  }
  export interface ModuleOptions {
    locateFile?: (name: string) => string;
    wasmBinary?: Uint8Array;
    print?: (text: string) => void;
    printErr?: (text: string) => void;
  }
  const open: (options?: ModuleOptions) => Promise<Clipper2Module>;
  export default open;
}
