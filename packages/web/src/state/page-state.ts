import type { PieceEntry, UnreadablePiece } from '@inlaywright/formats';
import type { Face, PieceDrawing } from '../drawing/model.ts';
import type {
  ArtworkSource,
  ArtworkSummary,
  MakeSettings,
  Miniature,
  Source,
  Trouble,
} from '../worker/messages.ts';

/** How the piece is shown: in flat tones, its parts apart, or its seams by gap. */
export type View = 'tones' | 'apart' | 'seams';

/** Something on the drawing that has numbers of its own. */
export interface Mark {
  readonly kind: 'part' | 'seam' | 'note';
  readonly id: string;
}

/** The piece on the sheet. */
export interface OpenPiece {
  readonly source: Source;
  readonly name: string;
  /** Its line in the register; null for a piece that the workspace does not have yet. */
  readonly entry: PieceEntry | null;
  /** What the sheet shows is not what the workspace has. */
  readonly unsaved: boolean;
}

/** An unsaved piece that another one has taken the sheet from. */
export interface SetAside {
  readonly open: OpenPiece;
  readonly settings: MakeSettings;
}

export interface PageState {
  readonly register: {
    readonly state: 'loading' | 'ready' | 'failed';
    readonly pieces: readonly PieceEntry[];
    readonly unreadable: readonly UnreadablePiece[];
  };
  readonly miniatures: Readonly<Record<string, Miniature>>;
  readonly open: OpenPiece | null;
  /** Pieces that were on the sheet, are not saved and can be taken up again. */
  readonly aside: readonly SetAside[];
  readonly opening: boolean;
  readonly settings: MakeSettings;
  /** The newest drawing; stays until the next one is there. */
  readonly drawing: PieceDrawing | null;
  readonly artwork: ArtworkSummary | null;
  readonly drawingState: 'none' | 'working' | 'current' | 'failed';
  readonly trouble: Trouble | null;
  /** Short word on what has just been done, for the eye and for screen readers. */
  readonly notice: string;
  readonly view: View;
  readonly face: Face;
  /** Under the pointer or the focus, on the drawing or in a table. */
  readonly pointed: Mark | null;
  readonly selected: Mark | null;
  readonly busy: 'saving' | 'writing' | null;
}

/**
 * Starting values where nobody has measured: what a beam and a press fit commonly are. The page says that they
 * are not measured.
 */
export const START_SETTINGS: MakeSettings = {
  fit: { kerfEntryMm: 0.18, kerfExitMm: 0.14, allowanceMm: 0.03 },
  records: { all: null, byTone: {} },
  share: 'inserted',
  turn: 'auto',
  stocks: {},
  pair: false,
};

export const START_STATE: PageState = {
  register: { state: 'loading', pieces: [], unreadable: [] },
  miniatures: {},
  open: null,
  aside: [],
  opening: false,
  settings: START_SETTINGS,
  drawing: null,
  artwork: null,
  drawingState: 'none',
  trouble: null,
  notice: '',
  view: 'tones',
  face: 'show',
  pointed: null,
  selected: null,
  busy: null,
};

export function sameMark(a: Mark | null, b: Mark | null): boolean {
  return a?.kind === b?.kind && a?.id === b?.id;
}

/** Whether leaving the page would lose something. */
export function holdsUnsaved(state: PageState): boolean {
  return state.open?.unsaved === true || state.aside.length > 0;
}

/** Whether the piece on the sheet is artwork whose tones are still being mapped. */
export function artworkOf(state: PageState): ArtworkSource | null {
  return state.open?.source.kind === 'artwork' ? state.open.source : null;
}
