/** What the figures of a material are called, and their units. */
export const FIGURE_WORDS: Readonly<Record<string, { readonly name: string; readonly unit: string }>> = {
  densityKgM3: { name: 'Density at 12 % moisture', unit: 'kg/m³' },
  bendingStrengthMPa: { name: 'Bending strength', unit: 'MPa' },
  bendingModulusMPa: { name: 'Bending modulus', unit: 'MPa' },
  compressionAlongMPa: { name: 'Compression along the grain', unit: 'MPa' },
  compressionAcrossMPa: { name: 'Compression across the grain', unit: 'MPa' },
  shearAlongMPa: { name: 'Shear along the grain', unit: 'MPa' },
  tensionAcrossMPa: { name: 'Tension across the grain', unit: 'MPa' },
  sideHardnessN: { name: 'Side hardness', unit: 'N' },
  shrinkageRadialPct: { name: 'Shrinkage, radial', unit: '%' },
  shrinkageTangentialPct: { name: 'Shrinkage, tangential', unit: '%' },
  shrinkageVolumetricPct: { name: 'Shrinkage, volume', unit: '%' },
  changeRadialPerPct: { name: 'Change per % of moisture, radial', unit: '1/%' },
  changeTangentialPerPct: { name: 'Change per % of moisture, tangential', unit: '1/%' },
};

/** How a value is known, in words. */
export const BASIS_WORDS: Readonly<Record<string, string>> = {
  read: 'read in the source',
  memory: 'from memory, not checked',
  computed: 'computed from other values',
  own: 'the maker’s own',
};

export const TYPE_WORDS: Readonly<Record<string, string>> = {
  wood: 'Woods',
  plywood: 'Plywood',
  veneer: 'Veneer',
  board: 'Boards',
  plastic: 'Plastics',
  leather: 'Leather',
  paper: 'Paper and card',
  other: 'Others',
};

export const VERDICT_WORDS: Readonly<Record<string, string>> = {
  refused: 'Never under the laser',
  avoid: 'Better not',
  caution: 'With care',
  usual: 'Commonly cut',
};
