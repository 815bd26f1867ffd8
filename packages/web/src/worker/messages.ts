/** What page and worker say to each other. Plain data only: it crosses by structured clone. */
import type { FitRecordFile } from '@inlaywright/formats';
import type { PieceDrawing } from '../drawing/model.ts';

/** Where a piece comes from. `key` changes whenever `text` does, so that the worker can keep what it made of it. */
export type Source = PieceSource | ArtworkSource;

export interface PieceSource {
  readonly kind: 'piece';
  readonly key: string;
  /** Text of a piece file. */
  readonly text: string;
}

export interface ArtworkSource {
  readonly kind: 'artwork';
  readonly key: string;
  /** Text of an SVG file. */
  readonly text: string;
  readonly name: string;
  /** Width of the artwork's viewport, mm; null to take the file's own. */
  readonly widthMm: number | null;
  /** Turn strokes into outlines. */
  readonly strokes: boolean;
  /** What each fill becomes, by the fill's key: a tone's id, or the reserved word for a piercing. */
  readonly becomes: Readonly<Record<string, string>>;
  /** Names of tones, by id, where the maker gave one. */
  readonly toneNames: Readonly<Record<string, string>>;
}

export interface FitNumbers {
  readonly kerfEntryMm: number;
  readonly kerfExitMm: number;
  readonly allowanceMm: number;
}

/** A fit record of the fit book that is in use. */
export interface UsedRecord {
  readonly id: string;
  /** Stock, machine and setting in words. */
  readonly name: string;
  /** Day that it was measured, `YYYY-MM-DD`. */
  readonly day: string;
  readonly grade: string;
  readonly fit: FitRecordFile;
}

export interface MakeSettings {
  /** Numbers for every tone without a record. */
  readonly fit: FitNumbers;
  /** Fit records in use: for all tones, and for single ones. They go before the numbers. */
  readonly records: {
    readonly all: UsedRecord | null;
    readonly byTone: Readonly<Record<string, UsedRecord>>;
  };
  readonly share: 'inserted' | 'both';
  readonly turn: 'auto' | 'none' | readonly string[];
  readonly stocks: Readonly<Record<string, string>>;
  readonly pair: boolean;
}

/** One distinct fill of an artwork. */
export interface ArtworkFill {
  readonly key: string;
  /** How it is shown. */
  readonly colour: string;
  readonly areas: number;
  /** The tone it became. */
  readonly tone: string;
}

export interface ArtworkSummary {
  readonly fills: readonly ArtworkFill[];
  readonly widthMm: number;
  readonly heightMm: number;
}

export interface Drawn {
  readonly drawing: PieceDrawing;
  readonly artwork: ArtworkSummary | null;
}

/** Something the maker must know: what, where, what to do. */
export interface Trouble {
  readonly title: string;
  readonly detail: string;
  readonly where: string;
  readonly hint: string;
  /** Several things wrong at once, each in a sentence. */
  readonly list?: readonly string[];
}

export type Outcome<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly trouble: Trouble };

export interface FileBundle {
  readonly name: string;
  readonly bytes: Uint8Array<ArrayBuffer>;
  readonly files: readonly string[];
}

export interface TextFile {
  readonly name: string;
  readonly text: string;
}

export interface Miniature {
  readonly box: {
    readonly minX: number;
    readonly minY: number;
    readonly maxX: number;
    readonly maxY: number;
  };
  readonly parts: readonly { readonly path: string; readonly colour: string }[];
}
