import type { Curve } from '@inlaywright/geometry';
import type { Finding } from '@inlaywright/workshop';

/** Where in the file an element stands. */
export interface ElementPlace {
  /** `path "leaf" (line 12)` or, without an id, `path 3 (line 12)`: the third path of the file. */
  readonly label: string;
  readonly tag: string;
  readonly id: string | null;
  /** Position in the document, the root being 0. */
  readonly index: number;
  readonly line: number;
}

/** One distinct fill of an artwork: what becomes a tone, or a piercing. */
export interface ArtworkFill {
  /** `#rrggbb` for plain colours; `gradient-...` or `pattern-...` for the others. */
  readonly key: string;
  /** How it is drawn on screen, `#rrggbb`: the colour itself, or the average of a gradient's stops. */
  readonly colour: string;
  /** Suggested tone id, `[a-z0-9-]+`, unique within the artwork. */
  readonly toneId: string;
  /** Suggested tone name: plain words for the colour. */
  readonly toneName: string;
}

/** One filled outline of an artwork. */
export interface ArtworkArea {
  /** Unique within the artwork. */
  readonly id: string;
  /** The element's title, else its id, else its kind and number. */
  readonly name: string;
  /** Closed curves, mm, y up, the origin in the middle of the page. */
  readonly curves: readonly Curve[];
  readonly fillRule: 'nonzero' | 'evenodd';
  /** Key of its fill. */
  readonly fill: string;
  /** Whether the area is the element's fill, or its stroke turned into an outline. */
  readonly part: 'fill' | 'stroke';
  readonly element: ElementPlace;
}

/** Something about the artwork that its maker should know, with every element it is about. */
export interface ArtworkWarning extends Finding {
  readonly elements: readonly ElementPlace[];
}

/** A drawing as read: areas bottom to top, each with a fill; what could not be read is in the warnings. */
export interface Artwork {
  /** The page the drawing stands on. Its middle is the origin. */
  readonly viewport: { readonly widthMm: number; readonly heightMm: number };
  readonly fills: readonly ArtworkFill[];
  readonly areas: readonly ArtworkArea[];
  readonly warnings: readonly ArtworkWarning[];
}

export interface ArtworkOptions {
  /** Width of the page, mm; the height follows. Without it the file decides. */
  readonly widthMm?: number;
  /** Turn visible strokes into outlines. Without it they are left out and named in a warning. */
  readonly strokes?: boolean;
}
