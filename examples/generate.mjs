// Writes the demo pieces: invented orders of a botanical garden's gift shop. Run it after `npm run build`:
//   node examples/generate.mjs
// Outlines that are drawn by hand elsewhere are formulas here, fitted by cubics at equal parameter steps (Hermite: each
// cubic has the curve's own points and tangents at both ends, so that outlines are smooth).
import { writeFileSync } from 'node:fs';
import { writePiece } from '@inlaywright/formats';

const woods = {
  cherry: { name: 'Cherry', colour: '#a8643c' },
  holly: { name: 'Holly', colour: '#ece5d0' },
  sapele: { name: 'Sapele', colour: '#6e3524' },
  bogOak: { name: 'Bog oak', colour: '#37302b' },
};
const tone = (id, wood, grainDeg) => ({ id, ...woods[wood], grainDeg });
const area = (id, name, toneId, shape, more = {}) => ({ id, name, tone: toneId, shape, ...more });
const disc = (x, y, diameterMm) => ({ kind: 'disc', centre: { x, y }, diameterMm });
const path = (...curves) => ({ kind: 'path', curves, fillRule: 'nonzero' });
/** A ring hole of 1.5 mm, its own diameter below the top (common practice, no published source). */
const ringHole = (top) => area('ring-hole', 'Ring hole', 'piercing', disc(0, top - 2.25, 1.5));

/** Nanometres are enough for a drawing, and keep the files short. */
const tidy = (value) => Math.round(value * 1e6) / 1e6 + 0;
const at = ([x, y]) => ({ x: tidy(x), y: tidy(y) });

/** A closed smooth curve through f(0..1), counter-clockwise if f is. */
function smooth(f, pieces) {
  return { segments: strand(f, 0, 1, pieces, true) };
}

/** Cubics along f from a to b; derivatives by central differences. */
function strand(f, a, b, pieces, closed = false) {
  const step = (b - a) / pieces;
  const knots = Array.from({ length: pieces + 1 }, (_, i) => a + i * step);
  const points = knots.map((t) => at(f(t)));
  if (closed) points[pieces] = points[0];
  const slope = (t) => {
    const h = 1e-5;
    const [x0, y0] = f(t - h);
    const [x1, y1] = f(t + h);
    return [(x1 - x0) / (2 * h), (y1 - y0) / (2 * h)];
  };
  return points.slice(0, pieces).map((from, i) => {
    const to = points[i + 1];
    const [ux, uy] = slope(knots[i]);
    const [vx, vy] = slope(knots[i + 1]);
    return {
      kind: 'cubic',
      from,
      c1: at([from.x + (ux * step) / 3, from.y + (uy * step) / 3]),
      c2: at([to.x - (vx * step) / 3, to.y - (vy * step) / 3]),
      to,
    };
  });
}

const polar = (r, angleDeg) =>
  at([r * Math.cos((angleDeg * Math.PI) / 180), r * Math.sin((angleDeg * Math.PI) / 180)]);

const line = (from, to) => ({ kind: 'line', from, to });
const arc = (from, to, centre, radius, sweepDeg) => ({
  kind: 'arc',
  from,
  to,
  centre,
  radius,
  sweep: (sweepDeg * Math.PI) / 180,
});

/** A band of changing width along a centre line, its ends square to it. */
function band(centre, halfWidth, pieces) {
  const side = (sign) => (t) => {
    const h = 1e-5;
    const [x0, y0] = centre(t - h);
    const [x1, y1] = centre(t + h);
    const length = Math.hypot(x1 - x0, y1 - y0);
    const [x, y] = centre(t);
    const w = sign * halfWidth(t);
    return [x - (w * (y1 - y0)) / length, y + (w * (x1 - x0)) / length];
  };
  const right = strand(side(-1), 0, 1, pieces);
  const left = strand(side(1), 1, 0, pieces);
  const ends = [line(right.at(-1).to, left[0].from), line(left.at(-1).to, right[0].from)];
  return { segments: [...right, ends[0], ...left, ends[1]] };
}

/** An egg that stands on its broad end: half width a, half height b, narrower above by k. Counter-clockwise from the top. */
const egg = (a, b, k, y = 0) => {
  let widest = 0;
  for (let i = 0; i < 1000; i++) {
    const t = (Math.PI * i) / 1000;
    widest = Math.max(widest, Math.sin(t) * (1 - k * Math.cos(t)));
  }
  return (u) => {
    const t = 2 * Math.PI * u;
    return [(-a / widest) * Math.sin(t) * (1 - k * Math.cos(t)), y + b * Math.cos(t)];
  };
};

/** f at a parameter that runs with the length of the curve. */
function byLength(f, samples = 4000) {
  const lengths = [0];
  for (let i = 1; i <= samples; i++) {
    const [x0, y0] = f((i - 1) / samples);
    const [x1, y1] = f(i / samples);
    lengths.push(lengths[i - 1] + Math.hypot(x1 - x0, y1 - y0));
  }
  const total = lengths[samples];
  return (u) => {
    const turns = Math.floor(u);
    const wanted = (u - turns) * total;
    let low = 0;
    let high = samples;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (lengths[middle] <= wanted) low = middle;
      else high = middle;
    }
    return f(turns + (low + (wanted - lengths[low]) / (lengths[high] - lengths[low])) / samples);
  };
}

/** f pushed out by a wave along its normal, even along its length. */
const wavy = (f, depth, waves) => {
  const even = byLength(f);
  return (u) => {
    const h = 2e-4;
    const [x0, y0] = even(u - h);
    const [x1, y1] = even(u + h);
    const length = Math.hypot(x1 - x0, y1 - y0);
    const [x, y] = even(u);
    const w = depth * Math.cos(2 * Math.PI * waves * u);
    return [x + (w * (y1 - y0)) / length, y - (w * (x1 - x0)) / length];
  };
};

const moved = (f, x, y, angleDeg) => {
  const cos = Math.cos((angleDeg * Math.PI) / 180);
  const sin = Math.sin((angleDeg * Math.PI) / 180);
  return (u) => {
    const [px, py] = f(u);
    return [x + cos * px - sin * py, y + sin * px + cos * py];
  };
};

function seedPod() {
  const body = egg(8, 11, 0.4, -4);
  const seeds = [
    ['seed-1', 4.2, -9.3, 12, 1.75, 2.5],
    ['seed-2', 4.05, -3.2, 6, 1.5, 2.3],
    ['seed-3', 3.05, 1.2, 10, 0.9, 1.45],
  ].flatMap(([id, x, y, turn, a, b]) => [
    [`${id}-left`, -x, y, -turn, a, b],
    [`${id}-right`, x, y, turn, a, b],
  ]);
  return {
    name: 'Seed pod',
    pair: true,
    tones: [
      tone('ground', 'cherry', 90),
      tone('accent', 'holly', 90),
      tone('body', 'sapele', 90),
      tone('seed', 'bogOak', 0),
    ],
    areas: [
      area('ground', 'Drop', 'ground', path(smooth(egg(12.5, 19, 0.5), 40))),
      area('husk', 'Husk', 'accent', path(smooth(wavy(egg(9.75, 12.75, 0.4, -4), 0.35, 30), 120))),
      area('body', 'Body', 'body', path(smooth(body, 56))),
      area(
        'rib',
        'Rib',
        'accent',
        path(
          band(
            (t) => [0.35 * Math.sin(2 * Math.PI * t), -15.6 + 23.2 * t],
            (t) => 0.95 - 0.25 * t + 0.1 * Math.cos(6 * Math.PI * t),
            24,
          ),
        ),
      ),
      ...seeds.map(([id, x, y, turn, a, b]) =>
        area(id, 'Seed', 'seed', path(smooth(moved(egg(a, b, 0.3), x, y, turn), 18))),
      ),
      area('eye-left', 'Eye', 'accent', disc(-4.2, -9.5, 1.4)),
      area('eye-right', 'Eye', 'accent', disc(4.2, -9.5, 1.4)),
      ringHole(19),
    ],
  };
}

function moonPhases() {
  const moons = [
    [14.6, 5],
    [8, 5.6],
    [0.4, 7],
    [-7.2, 5.6],
    [-13.8, 5],
  ];
  const half = (y, d, side) => {
    const r = d / 2;
    const top = { x: 0, y: tidy(y + r) };
    const bottom = { x: 0, y: tidy(y - r) };
    const rim = side > 0 ? arc(bottom, top, { x: 0, y }, r, 180) : arc(top, bottom, { x: 0, y }, r, 180);
    return path({ segments: [rim, line(rim.to, rim.from)] });
  };
  const crescent = (y, diameterMm, angleDeg) => ({
    kind: 'crescent',
    centre: { x: 0, y },
    angleDeg,
    diameterMm,
    biteDiameterMm: diameterMm,
    biteOffsetMm: 1.9,
  });
  const dark = moons.filter((_, i) => i !== 2);
  return {
    name: 'Moon phases',
    pair: true,
    tones: [tone('ground', 'bogOak', 90), tone('moon', 'holly', 0), tone('shadow', 'sapele', 0)],
    areas: [
      area(
        'ground',
        'Tag',
        'ground',
        { kind: 'trapezoid', centre: { x: 0, y: 0 }, bottomMm: 16, topMm: 7, heightMm: 46 },
        { cornerRadiiMm: [6.5, 6.5, 3, 3] },
      ),
      ...dark.map(([y, d], i) => area(`shadow-${i + 1}`, 'Shadow', 'shadow', disc(0, y, d))),
      area('young', 'Young moon', 'moon', crescent(...moons[0], 180), { cornerRadiiMm: 0.2 }),
      area('first-quarter', 'First quarter', 'moon', half(...moons[1], 1)),
      area('full', 'Full moon', 'moon', disc(0, ...moons[2])),
      area('last-quarter', 'Last quarter', 'moon', half(...moons[3], -1)),
      area('old', 'Old moon', 'moon', crescent(...moons[4], 0), { cornerRadiiMm: 0.2 }),
      ringHole(23),
    ],
  };
}

function veinedLeaf() {
  const width = 20;
  const length = 44;
  const half = length / 2;
  const sagitta = width / 2;
  const radius = (half * half + sagitta * sagitta) / (2 * sagitta);
  const sweepDeg = (2 * Math.atan2(half, radius - sagitta) * 180) / Math.PI;
  const top = { x: 0, y: half };
  const bottom = { x: 0, y: -half };
  const left = {
    segments: [arc(top, bottom, { x: radius - sagitta, y: 0 }, radius, sweepDeg), line(bottom, top)],
  };
  const vein = (y, side) =>
    path(
      band(
        (t) => [side * 14 * t, y + 7 * t + 2.5 * t * t],
        (t) => 0.85 - 0.2 * t,
        6,
      ),
    );
  const veins = [-14, -7, 0, 7].flatMap((y, i) => [
    area(`vein-${i + 1}-left`, 'Vein', 'rib', vein(y, -1)),
    area(`vein-${i + 1}-right`, 'Vein', 'rib', vein(y, 1)),
  ]);
  return {
    name: 'Veined leaf',
    pair: true,
    tones: [tone('ground', 'cherry', 60), tone('light', 'holly', 120), tone('rib', 'bogOak', 90)],
    areas: [
      area(
        'ground',
        'Right half',
        'ground',
        { kind: 'leaf', centre: { x: 0, y: 0 }, widthMm: width, lengthMm: length },
        { cornerRadiiMm: [1.5, 1] },
      ),
      area('light', 'Left half', 'light', path(left)),
      ...veins,
      area(
        'midrib',
        'Midrib',
        'rib',
        path(
          band(
            (t) => [0, -23 + 46 * t],
            (t) => 1.6 - 0.4 * t,
            4,
          ),
        ),
      ),
      area('tip', 'Tip', 'rib', disc(0, 20.5, 12)),
      area('ring-hole', 'Ring hole', 'piercing', disc(0, 18, 1.5)),
    ],
  };
}

function starSeed() {
  const pods = Array.from({ length: 8 }, (_, i) => 45 * i + 22.5);
  return {
    name: 'Star seed',
    tones: [
      tone('ground', 'sapele', 90),
      tone('pod', 'holly', 0),
      tone('seed', 'bogOak', 0),
      tone('heart', 'cherry', 90),
    ],
    areas: [
      area('ground', 'Round', 'ground', disc(0, 0, 34)),
      ...pods.map((angle, i) =>
        area(
          `pod-${i + 1}`,
          'Pod',
          'pod',
          { kind: 'leaf', centre: polar(9.4, angle), angleDeg: angle - 90, widthMm: 4.2, lengthMm: 9.6 },
          { cornerRadiiMm: 0.4 },
        ),
      ),
      ...pods.map((angle, i) =>
        area(`seed-${i + 1}`, 'Seed', 'seed', {
          kind: 'ellipse',
          centre: polar(9.8, angle),
          angleDeg: angle,
          widthMm: 3,
          heightMm: 1.7,
        }),
      ),
      area(
        'heart',
        'Heart',
        'heart',
        {
          kind: 'star',
          centre: { x: 0, y: 0 },
          points: 8,
          outerDiameterMm: 11,
          innerDiameterMm: 6.4,
        },
        { cornerRadiiMm: 0.3 },
      ),
      area('eye', 'Eye', 'seed', {
        kind: 'regular-polygon',
        centre: { x: 0, y: 0 },
        sides: 8,
        diameterMm: 3.4,
      }),
      ringHole(17),
    ],
  };
}

function windowHoop() {
  const outer = 18;
  const window = { radius: 10, y: 2.5 };
  const leaves = Array.from({ length: 9 }, (_, i) => {
    const angle = -170 + 20 * i;
    const radians = (angle * Math.PI) / 180;
    const edge =
      window.y * Math.sin(radians) + Math.sqrt(window.radius ** 2 - (window.y * Math.cos(radians)) ** 2);
    const large = i % 2 === 0;
    const breadth = outer - edge;
    const shape = {
      kind: 'leaf',
      centre: polar((outer + edge) / 2, angle),
      angleDeg: angle - 90,
      widthMm: large ? 3.3 : 2,
      lengthMm: tidy(breadth - (large ? 3 : 5)),
    };
    return area(`${large ? 'leaf' : 'bud'}-${i + 1}`, large ? 'Leaf' : 'Bud', large ? 'leaf' : 'bud', shape, {
      cornerRadiiMm: 0.3,
    });
  });
  return {
    name: 'Window hoop',
    pair: true,
    tones: [tone('ground', 'cherry', 90), tone('leaf', 'holly', 90), tone('bud', 'sapele', 0)],
    areas: [
      area('ground', 'Hoop', 'ground', disc(0, 0, 2 * outer)),
      ...leaves,
      area('window', 'Window', 'piercing', disc(0, window.y, 2 * window.radius)),
      ringHole(outer),
    ],
  };
}

function fernBrooch() {
  const stem = (t) => [-20 + 40 * t, -5 + 10 * t + 1.2 * Math.sin(2 * Math.PI * t)];
  const leaflets = Array.from({ length: 5 }, (_, i) => {
    const t = 0.17 + 0.155 * i;
    const [x, y] = stem(t);
    const [x1, y1] = stem(t + 0.01);
    const along = (Math.atan2(y1 - y, x1 - x) * 180) / Math.PI;
    const length = 11.5 - 1.5 * i;
    return [-1, 1].map((side) => {
      const turn = along + side * 55;
      // The foot of a leaflet lies under the stem.
      const [dx, dy] = Object.values(polar(length / 2, turn));
      return area(
        `leaflet-${i + 1}-${side < 0 ? 'below' : 'above'}`,
        'Leaflet',
        i % 2 === 0 ? 'light' : 'dark',
        {
          kind: 'leaf',
          centre: { x: tidy(x + dx), y: tidy(y + dy) },
          angleDeg: tidy(turn - 90),
          widthMm: tidy(length * 0.31),
          lengthMm: tidy(length),
        },
        { cornerRadiiMm: [0.3, 0] },
      );
    });
  }).flat();
  return {
    name: 'Fern brooch',
    tones: [
      tone('ground', 'cherry', 0),
      tone('light', 'holly', 90),
      tone('dark', 'sapele', 90),
      tone('stem', 'bogOak', 0),
    ],
    areas: [
      area('ground', 'Oval', 'ground', {
        kind: 'ellipse',
        centre: { x: 0, y: 0 },
        widthMm: 48,
        heightMm: 28,
      }),
      ...leaflets,
      area('stem', 'Stem', 'stem', path(band(stem, (t) => 1 - 0.35 * t, 16)), { cornerRadiiMm: 0.4 }),
    ],
  };
}

const pieces = {
  'seed-pod': seedPod(),
  'moon-phases': moonPhases(),
  'veined-leaf': veinedLeaf(),
  'star-seed': starSeed(),
  'window-hoop': windowHoop(),
  'fern-brooch': fernBrooch(),
};
for (const [file, piece] of Object.entries(pieces)) {
  writeFileSync(new URL(`${file}.json`, import.meta.url), writePiece(piece));
  console.log(`${file}.json`);
}
