/** Dashing: tracks cut into shorter ones by a pattern of lengths (SVG 2, section 13.4.4). */
import type { Point } from '@inlaywright/geometry';
import { type Station, type Track, turnBetween, unit } from './stroke-track.ts';

export interface DashPattern {
  /** Lengths of dashes and gaps in turn, an even number of them; empty for a solid stroke. */
  readonly dashes: readonly number[];
  readonly dashOffset: number;
  /** What the outline's length is to be taken for when dashing; null for its real one. */
  readonly pathLength: number | null;
}

/** The tracks cut into dashes. Every subpath starts the pattern anew (SVG 2, 13.4.4). */
export function dashTracks(tracks: readonly Track[], pattern: DashPattern): readonly Track[] {
  const { dashes, dashOffset, pathLength } = pattern;
  const period = dashes.reduce((sum, length) => sum + length, 0);
  if (dashes.length === 0 || !(period > 0)) return tracks;
  const total = tracks.reduce((sum, track) => sum + trackLength(track), 0);
  const scale = pathLength !== null && pathLength > 0 ? total / pathLength : 1;
  const scaled = dashes.map((length) => length * scale);
  // So many dashes would be a grey haze, not something to cut.
  if (!(total / (period * scale) < MAX_DASHES)) return tracks;
  return tracks.flatMap((track) => dashTrack(track, scaled, dashOffset * scale));
}

const MAX_DASHES = 50_000;

function trackLength(track: Track): number {
  let sum = 0;
  for (const run of track.runs) {
    for (let i = 0; i + 1 < run.length; i++) sum += stepLength(run[i]!, run[i + 1]!);
  }
  return sum;
}

/** Length of the curve between two stations: an arc that turns by t is t^2/24 longer than its chord, but for t^4/823. */
function stepLength(a: Station, b: Station): number {
  const turn = turnBetween(a, b);
  return Math.hypot(b.p.x - a.p.x, b.p.y - a.p.y) * (1 + (turn * turn) / 24);
}

function dashTrack(track: Track, dashes: readonly number[], offset: number): Track[] {
  const period = dashes.reduce((sum, length) => sum + length, 0);
  let left = ((offset % period) + period) % period;
  let index = 0;
  while (left >= dashes[index]! && left > 0) {
    left -= dashes[index]!;
    index = (index + 1) % dashes.length;
  }
  let remaining = dashes[index]! - left;
  const startsInside = index % 2 === 0;
  const result: Station[][][] = [];
  let dash: Station[][] | null = startsInside ? [] : null;
  for (const run of track.runs) {
    let piece: Station[] | null = dash ? [run[0]!] : null;
    for (let i = 0; i + 1 < run.length; i++) {
      const a = run[i]!;
      const b = run[i + 1]!;
      const length = stepLength(a, b);
      let done = 0;
      while (length - done > remaining) {
        done += remaining;
        const cut = between(a, b, done / length);
        if (piece && dash) {
          piece.push(cut);
          dash.push(piece);
          result.push(dash);
          piece = dash = null;
        } else {
          dash = [];
          piece = [cut];
        }
        index = (index + 1) % dashes.length;
        remaining = dashes[index]!;
      }
      remaining -= length - done;
      piece?.push(b);
    }
    if (piece && dash) dash.push(piece);
  }
  if (dash) {
    // On a closed outline the last dash runs on into the first.
    const first = result[0];
    if (track.closed && startsInside && first && result.length > 0) result[0] = [...dash, ...first];
    else result.push(dash);
  }
  const whole = track.closed && startsInside && result.length === 1 && result[0] === dash;
  return result
    .map((runs) => runs.filter((run) => run.length > 0))
    .filter((runs) => runs.length > 0)
    .map((runs) => ({ runs, closed: whole }));
}

function between(a: Station, b: Station, share: number): Station {
  const mix = (p: Point, q: Point): Point => ({ x: p.x + share * (q.x - p.x), y: p.y + share * (q.y - p.y) });
  const t = mix(a.t, b.t);
  return { p: mix(a.p, b.p), t: unit(t.x, t.y) ?? a.t };
}
