/**
 * A cut sheet as SVG in true millimetres: one user unit is 1 mm. The model's y points up, SVG's down: y is flipped here
 * and nowhere else. docs/cut-files.md describes the file.
 */
import type { ArcSegment, Curve, Point } from '@inlaywright/geometry';
import type { CutSheet } from '@inlaywright/workshop';
import { CUT_CAUTIONS } from './cautions.ts';
import { recordText, seamsText } from './record.ts';
import { CUT_ROLES, type CutRole, type RoleEntry, type RoleLine } from './roles.ts';
import { GRID_PER_MM, gridText, mmText, type WrittenPart, writtenParts } from './written-curve.ts';

export interface CutSvgOptions {
  /** How the lines of a role are drawn, for a machine whose program tells roles by colour or width. */
  readonly lines?: Partial<Record<CutRole, RoleLine>>;
}

/**
 * The sheet as SVG; the same sheet gives the same bytes.
 * Throws FormatError for whatever cannot be cut as it stands (see `writtenParts`).
 */
export function writeCutSvg(sheet: CutSheet, options: CutSvgOptions = {}): string {
  return cutSvgText(sheet, writtenParts(sheet), seamsText(sheet.seams), options);
}

/** `writeCutSvg` from the written parts and the record's text of the seams, which other files share. */
export function cutSvgText(
  sheet: CutSheet,
  parts: readonly WrittenPart[],
  seams: string,
  options: CutSvgOptions = {},
): string {
  const width = mmText(sheet.widthMm);
  const height = mmText(sheet.heightMm);
  const topNm = Math.round(sheet.heightMm * GRID_PER_MM);
  const title = `${sheet.piece}, ${sheet.stock}`;
  const head =
    '<?xml version="1.0" encoding="UTF-8"?>\n' +
    `<!--\n${CUT_CAUTIONS.join('\n')}\n-->\n` +
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}mm" height="${height}mm" viewBox="0 0 ${width} ${height}">\n` +
    `<title>${xmlText(title)}</title>\n` +
    '<desc>Beam paths in mm, kerf already allowed for. Run the groups in order: mark, cut inside, cut outside.</desc>\n' +
    `<metadata id="cut-record">${recordText(sheet, parts, 'radius', seams)}</metadata>\n`;
  const groups = CUT_ROLES.map((entry) => {
    const lines = parts.map((part) => partLines(part, entry.role, topNm)).join('');
    return `${groupHead(entry, options.lines?.[entry.role] ?? entry.line)}${lines}</g>\n`;
  });
  // Joined, not added up: a text that is a tree of pieces is read seven times slower, character by character.
  return [head, ...groups, '</svg>\n'].join('');
}

function groupHead(entry: RoleEntry, line: RoleLine): string {
  const dash = line.dashMm ? ` stroke-dasharray="${line.dashMm.map(mmText).join(' ')}"` : '';
  return (
    `<g id="${entry.id}" data-role="${entry.role}" aria-label="${entry.role}" fill="none"` +
    ` stroke="${xmlText(line.colour)}" stroke-width="${mmText(line.widthMm)}"${dash}>\n<title>${entry.role}</title>\n`
  );
}

function partLines(part: WrittenPart, role: CutRole, topNm: number): string {
  const { part: id, hand, turned } = part.source;
  const owner = `data-part="${xmlText(id)}" data-hand="${hand}" data-turned="${turned}"`;
  if (role === 'mark') {
    if (part.marks.length === 0) return '';
    return `<path ${owner} d="${part.marks.map((mark) => strokePath(mark.points, topNm)).join('')}"/>\n`;
  }
  let text = '';
  for (const contour of part.contours) {
    if (`cut ${contour.role}` !== role) continue;
    const first = contour.curve.segments[0]!;
    text +=
      contour.curve.segments.length === 1 && first.kind === 'arc'
        ? circleElement(first, owner, topNm)
        : `<path ${owner} d="${contourPath(contour.curve, topNm)}"/>\n`;
  }
  return text;
}

/** An SVG circle has no direction of its own: it is written beside it. */
function circleElement(circle: ArcSegment, owner: string, topNm: number): string {
  const direction = circle.sweep < 0 ? 'cw' : 'ccw';
  const centre = `cx="${mmText(circle.centre.x)}" cy="${yText(circle.centre.y, topNm)}"`;
  return `<circle ${owner} data-direction="${direction}" ${centre} r="${mmText(circle.radius)}"/>\n`;
}

function contourPath(curve: Curve, topNm: number): string {
  const { from } = curve.segments[0]!;
  let d = `M${mmText(from.x)} ${yText(from.y, topNm)}`;
  for (const segment of curve.segments) {
    const end = `${mmText(segment.to.x)} ${yText(segment.to.y, topNm)}`;
    if (segment.kind === 'arc') {
      const r = mmText(segment.radius);
      // Angles grow clockwise where y points down: sweep flag 1 is a clockwise arc of the model.
      d += `A${r} ${r} 0 0 ${segment.sweep < 0 ? 1 : 0} ${end}`;
    } else {
      d += `L${end}`;
    }
  }
  return `${d}Z`;
}

function strokePath(points: readonly Point[], topNm: number): string {
  return points.map((p, i) => `${i === 0 ? 'M' : 'L'}${mmText(p.x)} ${yText(p.y, topNm)}`).join('');
}

/** Flipped on whole nanometres, so that the written number is exact. */
function yText(y: number, topNm: number): string {
  return gridText(topNm - Math.round(y * GRID_PER_MM));
}

const ENTITIES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };

/** Text and attribute values; characters that XML 1.0 does not allow, lone surrogates among them, become U+FFFD. */
function xmlText(text: string): string {
  return text
    .replace(/[&<>"]/g, (c) => ENTITIES[c]!)
    .replace(/[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\u{10000}-\u{10ffff}]/gu, '\ufffd');
}
