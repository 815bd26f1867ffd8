export { difference, intersection, symmetricDifference, union } from './boolean.ts';
export { GeometryError, type GeometryErrorCode } from './errors.ts';
export { type FillRule, type KernelSource, kernelHeapBytes, openKernel } from './kernel.ts';
export {
  closing,
  closingEllipse,
  type OffsetOptions,
  offset,
  offsetEllipse,
  opening,
  openingEllipse,
} from './offset.ts';
export {
  components,
  containsPoint,
  emptyRegion,
  type Region,
  type Ring,
  regionArea,
  regionBounds,
  regionFromCurves,
  regionFromRings,
  ringArea,
  transformRegion,
} from './region.ts';
export { simplifyRegion } from './simplify.ts';
