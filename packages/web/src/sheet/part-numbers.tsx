import type { ReactElement } from 'react';
import type { PieceDrawing } from '../drawing/model.ts';
import { type SheetScale, toPx } from './sheet-scale.ts';

/** A number fits inside a part whose clear radius is at least this, px. */
const FITS_PX = 9;

/**
 * Part numbers (ISO 6433 habits): inside the part where it is wide enough, otherwise beside it on a short
 * leader line when parts are drawn apart.
 */
export function PartNumbers(props: {
  readonly drawing: PieceDrawing;
  readonly scale: SheetScale;
  readonly apart: boolean;
}): ReactElement {
  const { drawing, scale, apart } = props;
  return (
    <g className="part-numbers" aria-hidden="true">
      {drawing.parts.map((part) => {
        const move = apart ? part.apart : { x: 0, y: 0 };
        const at = toPx(scale, { x: part.inside.x + move.x, y: part.inside.y + move.y });
        if (part.insideRadius * scale.k >= FITS_PX) {
          return (
            <text
              key={part.id}
              className={apart ? 'part-number' : 'part-number is-faint'}
              x={at.x}
              y={at.y + 5}
            >
              {part.number}
            </text>
          );
        }
        if (!apart) return null;
        const corner = toPx(scale, { x: part.box.maxX + move.x, y: part.box.minY + move.y });
        return (
          <g key={part.id}>
            <path className="leader" d={`M${at.x} ${at.y}L${corner.x + 4} ${corner.y - 4}`} />
            <text className="part-number" x={corner.x + 10} y={corner.y - 6}>
              {part.number}
            </text>
          </g>
        );
      })}
    </g>
  );
}
