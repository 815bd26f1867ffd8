export { arcFromEndpoints, type EndpointArc } from './arc-endpoints.ts';
export { difference, intersection, symmetricDifference, union } from './boolean.ts';
export { type Bounds, emptyBounds, joinBounds } from './bounds.ts';
export { closing, closingEllipse, opening, openingEllipse } from './closing.ts';
export {
  type Curve,
  circleCurve,
  curveBounds,
  curveLength,
  isCircle,
  polygonCurve,
  reverseCurve,
  signedArea,
  transformCurve,
} from './curve.ts';
export { GeometryError, type GeometryErrorCode } from './errors.ts';
export { FIT_TANGENT_BREAK, FIT_TOLERANCE, type FitOptions, fitCurve } from './fit.ts';
export { FLATTEN_TOLERANCE, flattenCurve, flattenSegments } from './flatten.ts';
export { type DistanceBounds, directedHausdorff, hausdorffDistance } from './hausdorff.ts';
export { type FillRule, type KernelSource, kernelHeapBytes, openKernel } from './kernel.ts';
export {
  buildLocator,
  buildRingLocator,
  emptyFoot,
  type Foot,
  footInto,
  type Locator,
  type NearestHit,
  nearest,
  nearestHit,
  nearestInto,
  pointsWithin,
  roughDistance,
  type SignedHit,
  segmentsInBox,
  signedDistance,
  windingAt,
  windingNumber,
} from './locate.ts';
export { loneSegments } from './locate-lone.ts';
export { aboutCentroid, type MassProperties, massProperties } from './mass.ts';
export { type OffsetOptions, offset, offsetEllipse } from './offset.ts';
export {
  type Affine,
  apply,
  compose,
  determinant,
  distance,
  identity,
  invert,
  type Point,
  rotation,
  scaling,
  translation,
} from './point.ts';
export {
  components,
  containsPoint,
  emptyRegion,
  type Region,
  regionArea,
  regionBounds,
  regionFromCurves,
  regionFromRings,
  transformRegion,
} from './region.ts';
export { type Ring, ringArea } from './ring.ts';
export {
  type ArcSegment,
  type CubicSegment,
  type LineSegment,
  pointAt,
  reverseSegment,
  type Segment,
  segmentBounds,
  segmentLength,
  splitSegment,
  tangentAt,
} from './segment.ts';
export { scaleFactors, transformSegment } from './segment-transform.ts';
export { simplifyRegion } from './simplify.ts';
