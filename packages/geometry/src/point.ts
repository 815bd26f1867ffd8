/** A point or vector in the plane. y points up; formats flip at their edge. */
export interface Point {
  readonly x: number;
  readonly y: number;
}
