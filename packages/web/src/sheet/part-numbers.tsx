import type { ReactElement } from 'react';
import type { Box, DrawnPart, PieceDrawing, Place } from '../drawing/model.ts';
import { boxToPx, type SheetScale, toPx } from './sheet-scale.ts';

/** A number fits inside a part whose clear radius is at least this, px. */
const FITS_PX = 9;
/** From a part's box to the middle of its number, px. */
const BESIDE_PX = 13;
/** Length of a leader line along each axis, px. */
const LEADER_PX = 22;

/**
 * Part numbers (ISO 6433 habits). Assembled, inside the parts that are wide enough; apart, beside each part on the
 * side away from the piece's middle, where nothing is drawn.
 */
export function PartNumbers(props: {
  readonly drawing: PieceDrawing;
  readonly scale: SheetScale;
  readonly apart: boolean;
}): ReactElement {
  const { drawing, scale } = props;
  return (
    <g className="part-numbers" aria-hidden="true">
      {drawing.parts.map((part) => {
        if (props.apart) return <Beside key={part.id} part={part} drawing={drawing} scale={scale} />;
        if (part.insideRadius * scale.k < FITS_PX) return null;
        const at = toPx(scale, part.inside);
        return (
          <text key={part.id} className="part-number is-faint" x={at.x} y={at.y + 5}>
            {part.number}
          </text>
        );
      })}
    </g>
  );
}

function Beside({
  part,
  drawing,
  scale,
}: {
  readonly part: DrawnPart;
  readonly drawing: PieceDrawing;
  readonly scale: SheetScale;
}): ReactElement {
  const stays = Math.hypot(part.apart.x, part.apart.y) < 1e-6;
  const moved = boxToPx(scale, {
    minX: part.box.minX + part.apart.x,
    minY: part.box.minY + part.apart.y,
    maxX: part.box.maxX + part.apart.x,
    maxY: part.box.maxY + part.apart.y,
  });
  const middle: Place = { x: (moved.minX + moved.maxX) / 2, y: (moved.minY + moved.maxY) / 2 };
  if (stays) {
    const { from, out } = emptyCorner(part, moved, drawing, scale);
    return (
      <g>
        <path className="leader" d={`M${from.x} ${from.y}L${out.x} ${out.y}`} />
        <circle className="leader-dot" cx={from.x} cy={from.y} r={3} />
        <text
          className="part-number"
          x={out.x + (out.x < from.x ? -9 : 9)}
          y={out.y + (out.y < from.y ? 2 : 10)}
        >
          {part.number}
        </text>
      </g>
    );
  }
  const piece = boxToPx(scale, drawing.box);
  const dx = middle.x - (piece.minX + piece.maxX) / 2;
  const dy = middle.y - (piece.minY + piece.maxY) / 2;
  const sideways = Math.abs(dx) >= Math.abs(dy);
  const at = sideways
    ? { x: dx < 0 ? moved.minX - BESIDE_PX : moved.maxX + BESIDE_PX, y: middle.y }
    : { x: middle.x, y: dy < 0 ? moved.minY - BESIDE_PX : moved.maxY + BESIDE_PX };
  return (
    <text className="part-number" x={at.x} y={at.y + 5}>
      {part.number}
    </text>
  );
}

/** Leader from the outline to a number by that corner of the box that lies farthest from every part that moved. */
function emptyCorner(
  part: DrawnPart,
  box: Box,
  drawing: PieceDrawing,
  scale: SheetScale,
): { readonly from: Place; readonly out: Place } {
  const others = drawing.parts
    .filter(({ apart }) => Math.hypot(apart.x, apart.y) >= 1e-6)
    .map(({ box: own, apart }) =>
      toPx(scale, { x: (own.minX + own.maxX) / 2 + apart.x, y: (own.minY + own.maxY) / 2 + apart.y }),
    );
  const corners = part.corners.map((place, i) => {
    const from = toPx(scale, place);
    const dx = i % 2 === 0 ? -1 : 1;
    const dy = i < 2 ? -1 : 1;
    // Out of the outline by a little, and no further out than the box.
    const out = {
      x: dx < 0 ? Math.max(from.x - LEADER_PX, box.minX - 4) : Math.min(from.x + LEADER_PX, box.maxX + 4),
      y: dy < 0 ? Math.max(from.y - LEADER_PX, box.minY - 4) : Math.min(from.y + LEADER_PX, box.maxY + 4),
    };
    const room = Math.min(...others.map((q) => Math.hypot(out.x - q.x, out.y - q.y)));
    return { from, out, room };
  });
  return corners.reduce((best, corner) => (corner.room > best.room ? corner : best));
}
