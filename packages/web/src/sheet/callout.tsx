import type { ReactElement } from 'react';
import { signedMm } from '../drawing/gap-class.ts';
import type { Box, PieceDrawing, Place } from '../drawing/model.ts';
import type { Mark } from '../state/page-state.ts';
import { partNumber, seamName } from './piece-view.tsx';
import { type SheetScale, type Size, toPx } from './sheet-scale.ts';

const LINE = 17;
const PAD = 8;

/** Room that dimension lines and balloons take around the outline, px. */
const AROUND = 48;
const EDGE = 8;

/** The corner of the field where the numbers cover the drawing least; of equal ones the nearest. */
function quietCorner(at: Place, box: Box, size: Size, width: number, height: number): Place {
  const taken = {
    minX: box.minX - AROUND,
    minY: box.minY - AROUND,
    maxX: box.maxX + AROUND,
    maxY: box.maxY + AROUND,
  };
  const corners = [EDGE, size.height - height - EDGE - BAR].flatMap((y) =>
    [EDGE, size.width - width - EDGE].map((x) => ({ x, y })),
  );
  const cost = (corner: Place): number => {
    const overX = Math.min(corner.x + width, taken.maxX) - Math.max(corner.x, taken.minX);
    const overY = Math.min(corner.y + height, taken.maxY) - Math.max(corner.y, taken.minY);
    const covered = overX > 0 && overY > 0 ? overX * overY : 0;
    return covered * 10 + Math.hypot(corner.x + width / 2 - at.x, corner.y + height / 2 - at.y);
  };
  return corners.reduce((best, corner) => (cost(corner) < cost(best) ? corner : best));
}

/** Height of the strip at the foot with the scale bar and the buttons, px. */
const BAR = 36;

interface Words {
  readonly title: string;
  readonly lines: readonly string[];
  readonly at: Place;
}

/** The numbers of what is selected or pointed at, beside it on the sheet, with a leader line to its place. */
export function Callout(props: {
  readonly drawing: PieceDrawing;
  readonly mark: Mark;
  readonly apart: boolean;
  readonly scale: SheetScale;
  readonly box: Box;
  readonly size: Size;
}): ReactElement | null {
  const { drawing, mark, scale, box, size } = props;
  const words = wordsOf(drawing, mark, props.apart);
  if (!words) return null;
  const width = Math.max(words.title.length * 8, ...words.lines.map((line) => line.length * 6.6)) + 2 * PAD;
  const height = (words.lines.length + 1) * LINE + 2 * PAD - 4;
  const at = toPx(scale, words.at);
  const { x, y } = quietCorner(at, box, size, width, height);
  const elbow = { x: at.x > x + width / 2 ? x + width : x, y: y + height / 2 };
  return (
    <g className="callout" aria-hidden="true">
      <path className="leader" d={`M${at.x} ${at.y}L${elbow.x} ${elbow.y}`} />
      <circle className="leader-dot" cx={at.x} cy={at.y} r={3} />
      <rect className="callout-paper" x={x} y={y} width={width} height={height} />
      <text x={x + PAD} y={y + PAD + LINE - 6}>
        <tspan className="callout-title">{words.title}</tspan>
        {words.lines.map((line) => (
          <tspan key={line} x={x + PAD} dy={LINE}>
            {line}
          </tspan>
        ))}
      </text>
    </g>
  );
}

function wordsOf(drawing: PieceDrawing, mark: Mark, apart: boolean): Words | null {
  if (mark.kind === 'seam') {
    const seam = drawing.seams.find(({ id }) => id === mark.id);
    if (!seam) return null;
    const grade = seam.gradeProbability;
    return {
      title: `Seam ${seamName(seam)}`,
      lines: [
        `gap at the show face ${signedMm(seam.gaps.show.mean)}`,
        `half-way ${signedMm(seam.gaps.middle.mean)}, back ${signedMm(seam.gaps.back.mean)}`,
        `widest ${signedMm(seam.gaps.show.worst)}, tightest ${signedMm(seam.gaps.show.tightest)}`,
        `presses along ${Math.round(100 * seam.pressShare)} % of ${seam.lengthMm.toFixed(1)} mm`,
        ...(grade === null ? [] : [`in its grade of fit: ${Math.round(100 * grade)} %`]),
      ],
      at: seam.at,
    };
  }
  if (mark.kind === 'part') {
    const part = drawing.parts.find(({ id }) => id === mark.id);
    if (!part) return null;
    const tone = drawing.tones.find(({ id }) => id === part.tone);
    const meets = drawing.seams
      .filter((seam) => seam.a === part.id || seam.b === part.id)
      .map((seam) => partNumber(seam.a === part.id ? seam.b : seam.a));
    const size = `${(part.box.maxX - part.box.minX).toFixed(2)} \u00d7 ${(part.box.maxY - part.box.minY).toFixed(2)}`;
    return {
      title: `Part ${part.number}`,
      lines: [
        `${tone?.name ?? part.tone}${part.turned ? ', turned' : ''}`,
        `${size} mm`,
        `${part.areaMm2.toFixed(2)} mm\u00b2`,
        `meets ${meets.length > 8 ? `${meets.length} parts` : meets.join(', ') || 'no part'}`,
      ],
      at: apart ? { x: part.inside.x + part.apart.x, y: part.inside.y + part.apart.y } : part.inside,
    };
  }
  return null;
}
