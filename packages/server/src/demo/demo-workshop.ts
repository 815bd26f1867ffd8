import type { DocumentKind, DraftOf } from '@inlaywright/formats';

/**
 * An invented workshop, so that nobody starts before empty shelves: it makes inlaid pieces for the gift shop of a
 * botanical garden. Every name, price and size here is made up.
 */
type DemoDocument = {
  readonly [K in DocumentKind]: { readonly kind: K; readonly id: string; readonly body: DraftOf<K> };
}[DocumentKind];

const euro = (amount: number): { amount: number; currency: string } => ({ amount, currency: 'EUR' });
const board = (widthMm: number, heightMm: number): string =>
  `M 0 0 L ${widthMm} 0 L ${widthMm} ${heightMm} L 0 ${heightMm} Z`;

export const DEMO_WORKSHOP: readonly DemoDocument[] = [
  {
    kind: 'machines',
    id: 'bench-laser',
    body: {
      name: 'Bench laser',
      source: 'CO2, 60 W',
      bedWidthMm: 600,
      bedHeightMm: 400,
      axisNotes: 'x runs along the long side of the bed.',
      notes: 'Demo. Enter your own machine and put this one aside.',
    },
  },
  {
    kind: 'settings',
    id: 'hardwood-3-mm',
    body: {
      name: 'Hardwood 3 mm',
      machine: 'bench-laser',
      powerPercent: 70,
      speedMmPerS: 12,
      passes: 1,
      lens: '2 in',
      air: 'on',
      notes: 'Demo. Find your own by cutting.',
    },
  },
  {
    kind: 'materials',
    id: 'bog-oak',
    body: {
      name: 'Bog oak',
      type: 'wood',
      botanicalName: 'Quercus robur, subfossil',
      notes: 'Demo. Varies more from log to log than fresh oak does: run a fit trial for each board.',
    },
  },
  {
    kind: 'stocks',
    id: 'cherry-3-mm',
    body: {
      name: 'Cherry 3 mm',
      material: 'cherry-black',
      thicknessMm: 3,
      widthMm: 300,
      heightMm: 200,
      supplier: 'Orchard Lane Timber (invented)',
      price: euro(9.5),
    },
  },
  {
    kind: 'stocks',
    id: 'holly-3-mm',
    body: {
      name: 'Holly 3 mm',
      material: 'holly-american',
      thicknessMm: 3,
      widthMm: 300,
      heightMm: 100,
      supplier: 'Orchard Lane Timber (invented)',
      price: euro(14),
    },
  },
  {
    kind: 'stocks',
    id: 'sapele-3-mm',
    body: {
      name: 'Sapele 3 mm',
      material: 'sapele',
      thicknessMm: 3,
      widthMm: 300,
      heightMm: 200,
      supplier: 'Orchard Lane Timber (invented)',
      price: euro(8),
    },
  },
  {
    kind: 'stocks',
    id: 'bog-oak-3-mm',
    body: {
      name: 'Bog oak 3 mm',
      material: 'bog-oak',
      thicknessMm: 3,
      widthMm: 200,
      heightMm: 80,
      supplier: 'Fenland Woods (invented)',
      price: euro(22),
    },
  },
  {
    kind: 'sheets',
    id: 'cherry-board-1',
    body: {
      name: 'Cherry board 1',
      stock: 'cherry-3-mm',
      kind: 'sheet',
      outline: board(300, 200),
      thicknessMm: 3.05,
      readingsMm: [3.04, 3.05, 3.06],
      grainDeg: 0,
      place: 'Shelf A, left',
      price: euro(9.5),
    },
  },
  {
    kind: 'sheets',
    id: 'holly-offcut-1',
    body: {
      name: 'Holly offcut 1',
      stock: 'holly-3-mm',
      kind: 'offcut',
      outline: 'M 0 0 L 140 0 L 140 60 L 90 60 A 20 20 0 0 0 50 60 L 0 60 Z',
      thicknessMm: 2.95,
      grainDeg: 0,
      place: 'Offcut drawer',
    },
  },
  {
    kind: 'findings',
    id: 'jump-ring-5-mm',
    body: {
      name: 'Jump ring, 5 mm',
      type: 'ring',
      wireMm: 0.8,
      innerDiameterMm: 3.4,
      metal: 'steel',
      count: 200,
      price: euro(0.04),
    },
  },
  {
    kind: 'findings',
    id: 'ear-wire',
    body: {
      name: 'Ear wire',
      type: 'hook',
      wireMm: 0.8,
      lengthMm: 20,
      metal: 'niobium',
      nickelFree: true,
      count: 60,
      price: euro(0.6),
    },
  },
];
