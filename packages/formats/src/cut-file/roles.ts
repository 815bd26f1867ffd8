/**
 * The three roles a line of a cut file can have, in the order they are run: marks while the sheet is still whole,
 * then openings, then outlines, so that nothing is loose before what depends on it is cut.
 */
export type CutRole = 'mark' | 'cut inside' | 'cut outside';

/** How the lines of a role are drawn. None of it changes what is cut; a machine's program goes by group or layer. */
export interface RoleLine {
  /** `#rrggbb`. */
  readonly colour: string;
  readonly widthMm: number;
  /**
   * Dashes and spaces, mm, in turn. Absent for a continuous line, which is the default for every role: a program that
   * follows dashes would leave bridges in a cut.
   */
  readonly dashMm?: readonly number[];
}

export interface RoleEntry {
  readonly role: CutRole;
  /** `id` of the group in SVG: an id cannot hold a space. */
  readonly id: string;
  /** Layer name in DXF. */
  readonly layer: string;
  /** Index colour of the DXF layer, the nearest to `line.colour` among the first seven. */
  readonly layerColour: number;
  readonly line: RoleLine;
}

/**
 * Words first (group id, title, layer name); then line width, in the steps of ISO 128 (0.13, 0.18, 0.25) at a tenth of
 * their size, since programs that engrave thick lines take lines under 0.025 mm for cuts (common practice, no published
 * source); then colours of the Okabe-Ito palette.
 */
export const CUT_ROLES: readonly RoleEntry[] = [
  {
    role: 'mark',
    id: 'mark',
    layer: 'MARK',
    layerColour: 3,
    line: { colour: '#009e73', widthMm: 0.013 },
  },
  {
    role: 'cut inside',
    id: 'cut-inside',
    layer: 'CUT_INSIDE',
    layerColour: 6,
    line: { colour: '#cc79a7', widthMm: 0.018 },
  },
  {
    role: 'cut outside',
    id: 'cut-outside',
    layer: 'CUT_OUTSIDE',
    layerColour: 5,
    line: { colour: '#0072b2', widthMm: 0.025 },
  },
];
