import { type Affine, compose, identity, rotation, scaling, translation } from '@inlaywright/geometry';
import type { Placement } from './cut-sheet-model.ts';

/** The map from the frame of the piece to the frame of the sheet: mirror if asked, then turn, then move. */
export function placementTransform(placement: Placement): Affine {
  const mirror = placement.mirrored ? scaling(-1, 1) : identity;
  const turn = placement.angleDeg === 0 ? identity : rotation((placement.angleDeg * Math.PI) / 180);
  return compose(translation(placement.dxMm, placement.dyMm), compose(turn, mirror));
}
