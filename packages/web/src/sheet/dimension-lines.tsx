import type { ReactElement } from 'react';
import type { Box } from '../drawing/model.ts';

/** Dimension line to outline, and overshoot of extension lines, px. */
export const DIMENSION_AWAY = 36;
const OVERSHOOT = 6;
/** Extension lines start this far from the outline, px. */
const START_GAP = 4;
const ARROW_LENGTH = 10;
const ARROW_HALF = 2.2;
const TEXT_ABOVE = 6;

export interface DimensionsProps {
  /** The outline on the sheet, px. */
  readonly box: Box;
  readonly widthMm: number;
  readonly heightMm: number;
  /** Leaves the width's number out: it stands in a field there. */
  readonly typedWidth: boolean;
}

/**
 * Overall width and height after the habits of ISO 129-1: extension lines, closed narrow arrowheads, the number
 * above its line and along it, readable from the foot or from the right; no unit, which the title block states.
 */
export function Dimensions({ box, widthMm, heightMm, typedWidth }: DimensionsProps): ReactElement {
  const y = box.maxY + DIMENSION_AWAY;
  const x = box.minX - DIMENSION_AWAY;
  const midX = (box.minX + box.maxX) / 2;
  const midY = (box.minY + box.maxY) / 2;
  return (
    <g className="dimensions" aria-hidden="true">
      <path
        className="line-narrow"
        d={
          `M${box.minX} ${box.maxY + START_GAP}V${y + OVERSHOOT}M${box.maxX} ${box.maxY + START_GAP}V${y + OVERSHOOT}` +
          `M${box.minX} ${y}H${box.maxX}` +
          `M${box.minX - START_GAP} ${box.minY}H${x - OVERSHOOT}M${box.minX - START_GAP} ${box.maxY}H${x - OVERSHOOT}` +
          `M${x} ${box.minY}V${box.maxY}`
        }
      />
      <path
        className="arrowheads"
        d={
          `M${box.minX} ${y}l${ARROW_LENGTH} ${-ARROW_HALF}v${2 * ARROW_HALF}z` +
          `M${box.maxX} ${y}l${-ARROW_LENGTH} ${-ARROW_HALF}v${2 * ARROW_HALF}z` +
          `M${x} ${box.minY}l${-ARROW_HALF} ${ARROW_LENGTH}h${2 * ARROW_HALF}z` +
          `M${x} ${box.maxY}l${-ARROW_HALF} ${-ARROW_LENGTH}h${2 * ARROW_HALF}z`
        }
      />
      {!typedWidth && (
        <text className="dimension-text" x={midX} y={y - TEXT_ABOVE} textAnchor="middle">
          {sizeText(widthMm)}
        </text>
      )}
      <text
        className="dimension-text"
        textAnchor="middle"
        transform={`translate(${x - TEXT_ABOVE} ${midY}) rotate(-90)`}
      >
        {sizeText(heightMm)}
      </text>
    </g>
  );
}

/** A size in mm with up to two decimals, no trailing zeros (ISO 129-1). */
export function sizeText(mm: number): string {
  return String(Number(mm.toFixed(2)));
}
