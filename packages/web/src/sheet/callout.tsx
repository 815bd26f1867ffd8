import type { ReactElement } from 'react';
import { signedMm } from '../drawing/gap-class.ts';
import type { Box, PieceDrawing, Place } from '../drawing/model.ts';
import type { Mark } from '../state/page-state.ts';
import { partNumber, seamName } from './piece-view.tsx';
import { type SheetScale, type Size, toPx } from './sheet-scale.ts';

const LINE = 17;
const PAD = 8;

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
  const right = at.x >= (box.minX + box.maxX) / 2;
  const beside = right ? box.maxX + 28 : box.minX - 28 - width;
  const x = Math.min(Math.max(beside, 4), size.width - width - 4);
  const y = Math.min(Math.max(at.y - height - 20, 4), size.height - height - 4);
  const elbow = { x: right ? x : x + width, y: y + PAD + LINE - 4 };
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
