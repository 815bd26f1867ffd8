/**
 * Path data (SVG 2, section 9.3) to subpaths. svg-pathdata tokenises; arcs stay arcs; quadratics become the equal
 * cubics. On an error everything before it is kept, as section 9.5.4 asks, and the error is reported with its place.
 */
import type { Point } from '@inlaywright/geometry';
import { type SVGCommand, SVGPathData, SVGPathDataParser } from 'svg-pathdata';
import { endpointArc, type OutlineSegment, type Subpath } from './outline.ts';

export interface PathReading {
  readonly subpaths: readonly Subpath[];
  /** What is wrong, and the text around it; null when all was read. */
  readonly error: string | null;
}

export function readPathData(data: string): PathReading {
  const { commands, error } = tokenise(data);
  const first = commands[0];
  if (first && first.type !== SVGPathData.MOVE_TO) {
    return { subpaths: [], error: 'it does not begin with a move (M or m)' };
  }
  const { subpaths, infinite } = drawCommands(commands);
  if (infinite === null) return { subpaths, error };
  return { subpaths, error: `a number of command ${infinite + 1} is too large to draw` };
}

const MAX_NEGATIVE_RADII = 20;

function tokenise(data: string): { commands: SVGCommand[]; error: string | null } {
  let text = dropLeadingZeros(data.replace(/\f/g, ' '));
  let error: string | null = null;
  // After a closing Z only a command may follow; the tokeniser would let digits slip into the next one.
  const stray = /[zZ][\s,]*(?=[-+.\d])/.exec(text);
  if (stray) {
    const at = stray.index + stray[0].length;
    error = describe(text, at, 'a number follows the closing Z');
    text = text.slice(0, stray.index + 1);
  }
  for (let attempt = 0; ; attempt++) {
    const commands: SVGCommand[] = [];
    try {
      const parser = new SVGPathDataParser();
      parser.parse(text, commands);
      parser.finish(commands);
      return { commands, error };
    } catch (thrown) {
      const message = (thrown as Error).message;
      const at = Number(/at (?:index "?)?(\d+)"?\.?/.exec(message)?.[1] ?? text.length);
      // SVG takes a negative radius by its size; the tokeniser refuses it.
      const minus = message.startsWith('Expected positive') ? text.lastIndexOf('-', at - 1) : -1;
      if (minus >= 0 && attempt < MAX_NEGATIVE_RADII) {
        text = `${text.slice(0, minus)} ${text.slice(minus + 1)}`;
        continue;
      }
      return { commands, error: describe(text, at, message) };
    }
  }
}

/** `007` is seven in SVG, but two numbers to the tokeniser; outside arcs, whose flags may touch, the zeros go. */
function dropLeadingZeros(text: string): string {
  if (!/(?:^|[^\d.])00/.test(text)) return text;
  return text.replace(/([a-zA-Z])([^a-df-zA-DF-Z]*)/g, (whole, letter: string, rest: string) =>
    letter === 'a' || letter === 'A' ? whole : letter + rest.replace(/(?<![\d.eE]|[eE][-+])0+(?=\d)/g, ''),
  );
}

function describe(text: string, at: number, message: string): string {
  const reason = message.replace(/\s*(?:ending )?at (?:index )?"?\d+"?/, '').replace(/\.$/, '');
  const around = text
    .slice(Math.max(0, at - 12), at + 12)
    .replace(/\s+/g, ' ')
    .trim();
  return `${reason.charAt(0).toLowerCase()}${reason.slice(1)} at character ${at + 1}, near "${around}"`;
}

/** The subpaths the commands draw, and the number of the command that led to infinity, if one did. */
function drawCommands(commands: readonly SVGCommand[]): { subpaths: Subpath[]; infinite: number | null } {
  const subpaths: Subpath[] = [];
  let segments: OutlineSegment[] = [];
  let start: Point = { x: 0, y: 0 };
  let at: Point = start;
  let isDrawn = false;
  /** Reflected by S after C or S, by T after Q or T. */
  let lastCubic: Point | null = null;
  let lastQuadratic: Point | null = null;

  const end = (closed: boolean): void => {
    // A move that nothing follows draws nothing, not even a dot.
    if (isDrawn) subpaths.push({ start, segments, closed });
    segments = [];
    isDrawn = false;
  };
  const add = (segment: OutlineSegment | null, to: Point): void => {
    isDrawn = true;
    if (segment) segments.push(segment);
    at = to;
  };
  const addCubic = (c1: Point, c2: Point, to: Point): void => {
    const still = [c1, c2, to].every((p) => p.x === at.x && p.y === at.y);
    add(still ? null : { kind: 'cubic', from: at, c1, c2, to }, to);
  };
  const addLine = (to: Point): void => {
    const moved = to.x !== at.x || to.y !== at.y;
    add(moved ? { kind: 'line', from: at, to } : null, to);
  };
  const reflect = (control: Point | null): Point =>
    control ? { x: 2 * at.x - control.x, y: 2 * at.y - control.y } : at;

  for (const [i, command] of commands.entries()) {
    if (!Object.values(command).every((value) => typeof value !== 'number' || Number.isFinite(value))) {
      end(false);
      return { subpaths, infinite: i };
    }
    const cubic: Point | null = lastCubic;
    const quadratic: Point | null = lastQuadratic;
    lastCubic = null;
    lastQuadratic = null;
    if (command.type === SVGPathData.CLOSE_PATH) {
      addLine(start);
      end(true);
      continue;
    }
    const origin = command.relative ? at : { x: 0, y: 0 };
    const point = (x: number, y: number): Point => ({ x: origin.x + x, y: origin.y + y });
    switch (command.type) {
      case SVGPathData.MOVE_TO:
        end(false);
        at = point(command.x, command.y);
        start = at;
        break;
      case SVGPathData.LINE_TO:
        addLine(point(command.x, command.y));
        break;
      case SVGPathData.HORIZ_LINE_TO:
        addLine({ x: origin.x + command.x, y: at.y });
        break;
      case SVGPathData.VERT_LINE_TO:
        addLine({ x: at.x, y: origin.y + command.y });
        break;
      case SVGPathData.CURVE_TO:
      case SVGPathData.SMOOTH_CURVE_TO: {
        const c1 = command.type === SVGPathData.CURVE_TO ? point(command.x1, command.y1) : reflect(cubic);
        lastCubic = point(command.x2, command.y2);
        addCubic(c1, lastCubic, point(command.x, command.y));
        break;
      }
      case SVGPathData.QUAD_TO:
      case SVGPathData.SMOOTH_QUAD_TO: {
        const control: Point =
          command.type === SVGPathData.QUAD_TO ? point(command.x1, command.y1) : reflect(quadratic);
        const to = point(command.x, command.y);
        const towards = (p: Point): Point => ({
          x: p.x + (2 / 3) * (control.x - p.x),
          y: p.y + (2 / 3) * (control.y - p.y),
        });
        lastQuadratic = control;
        addCubic(towards(at), towards(to), to);
        break;
      }
      case SVGPathData.ARC: {
        const to = point(command.x, command.y);
        const radii = { rx: command.rX, ry: command.rY, rotationDeg: command.xRot };
        const flags = { largeArc: command.lArcFlag === 1, sweep: command.sweepFlag === 1 };
        add(endpointArc(at, to, radii, flags), to);
        break;
      }
    }
  }
  end(false);
  return { subpaths, infinite: null };
}
