import type { Curve, Point, Segment } from '@inlaywright/geometry';

/** A rectangle from its lower left corner, counter-clockwise, with equal round corners (0 leaves them sharp). */
export function roundedRectangle(corner: Point, widthMm: number, heightMm: number, radiusMm: number): Curve {
  const [x0, y0, x1, y1] = [corner.x, corner.y, corner.x + widthMm, corner.y + heightMm];
  const r = radiusMm;
  if (r <= 0) {
    const points = [
      { x: x0, y: y0 },
      { x: x1, y: y0 },
      { x: x1, y: y1 },
      { x: x0, y: y1 },
    ];
    return { segments: points.map((from, i) => ({ kind: 'line', from, to: points[(i + 1) % 4]! })) };
  }
  const line = (from: Point, to: Point): Segment => ({ kind: 'line', from, to });
  const arc = (from: Point, to: Point, centre: Point): Segment => ({
    kind: 'arc',
    from,
    to,
    centre,
    radius: r,
    sweep: Math.PI / 2,
  });
  return {
    segments: [
      line({ x: x0 + r, y: y0 }, { x: x1 - r, y: y0 }),
      arc({ x: x1 - r, y: y0 }, { x: x1, y: y0 + r }, { x: x1 - r, y: y0 + r }),
      line({ x: x1, y: y0 + r }, { x: x1, y: y1 - r }),
      arc({ x: x1, y: y1 - r }, { x: x1 - r, y: y1 }, { x: x1 - r, y: y1 - r }),
      line({ x: x1 - r, y: y1 }, { x: x0 + r, y: y1 }),
      arc({ x: x0 + r, y: y1 }, { x: x0, y: y1 - r }, { x: x0 + r, y: y1 - r }),
      line({ x: x0, y: y1 - r }, { x: x0, y: y0 + r }),
      arc({ x: x0, y: y0 + r }, { x: x0 + r, y: y0 }, { x: x0 + r, y: y0 + r }),
    ],
  };
}

export function roundedSquare(centre: Point, sizeMm: number, radiusMm: number): Curve {
  return roundedRectangle({ x: centre.x - sizeMm / 2, y: centre.y - sizeMm / 2 }, sizeMm, sizeMm, radiusMm);
}
