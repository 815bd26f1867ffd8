/**
 * Outlines as text, in the grammar of SVG 2 path data (section 9.3), absolute commands M, L, A, C and Z only. Lengths in
 * mm and y up, so sweep flag 1 is counter-clockwise. Arcs are circular: both radii are equal, the rotation is 0. A full
 * circle is two half circles that close on themselves. Numbers are written with as many digits as a double needs.
 */
import {
  type ArcSegment,
  arcFromEndpoints,
  type Curve,
  type Point,
  type Segment,
} from '@inlaywright/geometry';

/** What is wrong with a path, and where: offset into the text. */
export interface PathFault {
  readonly offset: number;
  readonly message: string;
}

export type PathReading =
  | { readonly ok: true; readonly curves: readonly Curve[] }
  | { readonly ok: false; readonly fault: PathFault };

const NUMBERS: Readonly<Record<string, number>> = { M: 2, L: 2, A: 7, C: 6, Z: 0 };
/** Ends this near close a curve without a line of their own, mm: one step of the grid. */
const CLOSED_MM = 1e-6;
/** Two arcs back and forth are half circles, and together one circle, when their chord is a diameter to this, mm. */
const SAME_CIRCLE_MM = 1e-6;

/** Reads path data. A curve that ends without Z and away from its start stays open. */
export function readPathData(text: string): PathReading {
  const curves: Curve[] = [];
  let segments: Segment[] = [];
  let start: Point | undefined;
  let at: Point = { x: 0, y: 0 };
  let offset = skipSpace(text, 0, false);
  const fault = (message: string, where = offset): PathReading => ({
    ok: false,
    fault: { offset: where, message },
  });

  while (offset < text.length) {
    const command = text[offset]!;
    const count = NUMBERS[command];
    if (count === undefined) return fault(unknownCommand(command));
    if (command !== 'M' && start === undefined) {
      return fault(`${command} comes before M; a curve starts with M and its starting point`);
    }
    offset = skipSpace(text, offset + 1, false);
    if (command === 'Z') {
      close(segments, start!, at);
      finish();
      start = undefined;
      continue;
    }
    let operator = command;
    do {
      const where = offset;
      const values: number[] = [];
      for (let i = 0; i < count; i++) {
        const isFlag = operator === 'A' && (i === 3 || i === 4);
        const read = isFlag ? readFlag(text, offset) : readNumber(text, offset);
        if (read === undefined) {
          return fault(
            `${operator} needs ${count} numbers; ${isFlag ? 'a flag 0 or 1' : `number ${i + 1}`} is missing or malformed`,
          );
        }
        values.push(read.value);
        offset = skipSpace(text, read.end, true);
      }
      const to = { x: values.at(-2)!, y: values.at(-1)! };
      switch (operator) {
        case 'M':
          if (start !== undefined) finish();
          start = to;
          break;
        case 'L':
          segments.push({ kind: 'line', from: at, to });
          break;
        case 'C':
          segments.push({
            kind: 'cubic',
            from: at,
            c1: { x: values[0]!, y: values[1]! },
            c2: { x: values[2]!, y: values[3]! },
            to,
          });
          break;
        case 'A': {
          const [rx, ry] = values;
          if (rx !== ry) {
            return fault(
              `the radii ${rx} and ${ry} differ; arcs are circular, draw an ellipse with C`,
              where,
            );
          }
          if (!(rx! > 0)) return fault(`the radius ${rx} of an arc must be above 0`, where);
          const drawn = arcFromEndpoints({
            from: at,
            to,
            rx: rx!,
            ry: rx!,
            rotation: 0,
            largeArc: values[3] === 1,
            sweep: values[4] === 1,
          });
          // A half circle's radius may come out a digit larger, to reach; as written it is written again.
          segments.push(
            ...drawn.map((arc) =>
              arc.kind === 'arc' && arc.radius - rx! < 1e-12 * rx! ? { ...arc, radius: rx! } : arc,
            ),
          );
        }
      }
      at = to;
      // More numbers without a command repeat it; after M they are lines (SVG 2, section 9.3.3).
      if (operator === 'M') operator = 'L';
    } while (offset < text.length && NUMBERS[text[offset]!] === undefined && /[\d.+-]/.test(text[offset]!));
  }
  if (start !== undefined) {
    if (segments.length > 0 && near(at, start)) close(segments, start, at);
    finish();
  }
  return { ok: true, curves };

  function finish(): void {
    if (segments.length > 0) curves.push({ segments: asCircle(segments) ?? segments });
    segments = [];
  }
}

function unknownCommand(command: string): string {
  if (/[mlacz]/.test(command)) return `${command} is relative; write the absolute ${command.toUpperCase()}`;
  if (/[hvsqtHVSQT]/.test(command)) return `${command} is not used here; the commands are M, L, A, C and Z`;
  return `"${command}" is not a command; the commands are M, L, A, C and Z`;
}

function close(segments: Segment[], start: Point, at: Point): void {
  const last = segments.length - 1;
  if (!near(at, start)) segments.push({ kind: 'line', from: at, to: start });
  else if (last >= 0 && at !== start) segments[last] = { ...segments[last]!, to: start };
}

function near(p: Point, q: Point): boolean {
  return Math.hypot(p.x - q.x, p.y - q.y) <= CLOSED_MM;
}

/** One full arc for two halves of a circle. */
function asCircle(segments: readonly Segment[]): Segment[] | undefined {
  const [first, second] = segments;
  if (segments.length !== 2 || first!.kind !== 'arc' || second!.kind !== 'arc') return undefined;
  if (first!.from !== second!.to) return undefined;
  const chord = Math.hypot(first!.to.x - first!.from.x, first!.to.y - first!.from.y);
  const halves = [first!, second!].every(
    (arc) => Math.abs(arc.radius - chord / 2) <= SAME_CIRCLE_MM && arc.sweep > 0 === first!.sweep > 0,
  );
  if (!halves) return undefined;
  const { from, to: opposite } = first!;
  const whole: ArcSegment = {
    kind: 'arc',
    from,
    to: from,
    centre: { x: (from.x + opposite.x) / 2, y: (from.y + opposite.y) / 2 },
    radius: first!.radius,
    sweep: first!.sweep > 0 ? 2 * Math.PI : -2 * Math.PI,
  };
  return [whole];
}

const SPACE = /[ \t\r\n\f]/;

function skipSpace(text: string, offset: number, comma: boolean): number {
  let at = offset;
  let commas = comma ? 1 : 0;
  while (at < text.length && (SPACE.test(text[at]!) || (text[at] === ',' && commas-- > 0))) at++;
  return at;
}

const NUMBER = /[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?/y;

function readNumber(text: string, offset: number): { value: number; end: number } | undefined {
  NUMBER.lastIndex = offset;
  const match = NUMBER.exec(text);
  if (match === null) return undefined;
  const value = Number(match[0]);
  return Number.isFinite(value) ? { value, end: offset + match[0].length } : undefined;
}

/** Flags may stand without a separator, as in `A1 1 0 01 2 3`. */
function readFlag(text: string, offset: number): { value: number; end: number } | undefined {
  const digit = text[offset];
  return digit === '0' || digit === '1' ? { value: Number(digit), end: offset + 1 } : undefined;
}

/** Writes curves as path data; a curve that is not closed gets no Z. */
export function writePathData(curves: readonly Curve[]): string {
  return curves
    .filter((curve) => curve.segments.length > 0)
    .map(({ segments }) => {
      const { from } = segments[0]!;
      const { to } = segments.at(-1)!;
      const closed = near(from, to);
      // The closing line goes without saying.
      const last = segments.at(-1)!;
      const implied = closed && last.kind === 'line' && segments.length > 1 && !near(last.from, last.to);
      const drawn = implied ? segments.slice(0, -1) : segments;
      return [`M ${point(from)}`, ...drawn.map(segmentText), ...(closed ? ['Z'] : [])].join(' ');
    })
    .join(' ');
}

function segmentText(segment: Segment): string {
  switch (segment.kind) {
    case 'line':
      return `L ${point(segment.to)}`;
    case 'cubic':
      return `C ${point(segment.c1)} ${point(segment.c2)} ${point(segment.to)}`;
    case 'arc': {
      const { radius, sweep, centre, from, to } = segment;
      const flag = sweep > 0 ? 1 : 0;
      const arc = (large: 0 | 1, end: Point): string =>
        `A ${number(radius)} ${number(radius)} 0 ${large} ${flag} ${point(end)}`;
      if (Math.abs(sweep) >= 2 * Math.PI - 1e-9) {
        const opposite = { x: 2 * centre.x - from.x, y: 2 * centre.y - from.y };
        return `${arc(0, opposite)} ${arc(0, to)}`;
      }
      return arc(Math.abs(sweep) > Math.PI ? 1 : 0, to);
    }
  }
}

function point(p: Point): string {
  return `${number(p.x)} ${number(p.y)}`;
}

/** The shortest text that reads back as the same double; no negative zero. */
function number(value: number): string {
  return String(value === 0 ? 0 : value);
}
