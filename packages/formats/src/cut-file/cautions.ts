/**
 * The usual cautions of laser cutting, written at the head of every cut file. Lines are plain ASCII without two hyphens
 * in a row, so that they can stand in an XML comment and in a DXF comment.
 */
export const CUT_CAUTIONS: readonly string[] = [
  'CAUTION. A laser cutter can start a fire, blind, and give off harmful fumes.',
  'Never leave a running machine unattended; keep a fire extinguisher within reach and the lid closed.',
  'Cut only material known to be safe for the laser: some plastics, glues and finishes give off poisonous or corrosive gas.',
  'Run extraction to the outdoors or through a filter made for the purpose.',
  "Follow the machine's manual, the material's data sheet and the local rules; they come before this file.",
  'Check size, material, focus and power on scrap first.',
];
