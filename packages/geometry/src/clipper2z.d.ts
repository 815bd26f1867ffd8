// clipper2-wasm ships types only for its package root, which is the UMD build; this declares the part of the
// ES build that kernel.ts uses. Handles live in WASM memory until delete().
declare module 'clipper2-wasm/dist/es/clipper2z.js' {
  export interface Handle {
    delete(): void;
  }
  export interface PathD extends Handle {
    size(): number;
    /** Interleaved x, y, z; z is the bit pattern of an int64. */
    assign(coordinates: Float64Array): void;
    /** A window on WASM memory: copy before any other call. */
    view(): Float64Array;
  }
  export interface PathsD extends Handle {
    size(): number;
    clear(): void;
    push_back(path: PathD): void;
    /** A copy that must be deleted. */
    get(index: number): PathD;
  }
  export interface EnumValue {
    readonly value: number;
  }
  export interface Clipper2Module {
    readonly HEAPU8: Uint8Array;
    readonly PathD: new () => PathD;
    readonly PathsD: new () => PathsD;
    readonly ClipType: Record<'Intersection' | 'Union' | 'Difference' | 'Xor', EnumValue>;
    readonly FillRule: Record<'EvenOdd' | 'NonZero' | 'Positive' | 'Negative', EnumValue>;
    readonly JoinType: Record<'Square' | 'Round' | 'Miter', EnumValue>;
    readonly EndType: Record<'Polygon', EnumValue>;
    BooleanOpD(
      clipType: EnumValue,
      fillRule: EnumValue,
      subjects: PathsD,
      clips: PathsD,
      precision: number,
    ): PathsD;
    InflatePathsD(
      paths: PathsD,
      delta: number,
      joinType: EnumValue,
      endType: EnumValue,
      miterLimit: number,
      precision: number,
      arcTolerance: number,
    ): PathsD;
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
