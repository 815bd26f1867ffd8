/**
 * The page's one store and everything that changes it. No React here: components read the state and call
 * these actions.
 */
import type { PieceEntry } from '@inlaywright/formats';
import { createStore } from 'zustand/vanilla';
import { fetchPiece, listPieces, savePiece } from '../api/pieces-client.ts';
import type { Face } from '../drawing/model.ts';
import type {
  ArtworkSource,
  FitNumbers,
  MakeSettings,
  Source,
  Trouble,
  UsedRecord,
} from '../worker/messages.ts';
import { openWorkshop } from '../worker/workshop-client.ts';
import { offerFile } from './offer-file.ts';
import {
  type Mark,
  type OpenPiece,
  type PageState,
  type SetAside,
  START_STATE,
  type View,
} from './page-state.ts';
import { readAddress } from './place.ts';

export const page = createStore<PageState>(() => START_STATE);

const workshop = openWorkshop({
  working: () => page.setState({ drawingState: 'working' }),
  done(outcome) {
    if (!outcome.ok) {
      goBack(outcome.trouble);
      return;
    }
    const { drawing, artwork } = outcome.value;
    const { open: shown, settings } = page.getState();
    if (shown) lastDrawn = { open: shown, settings, artwork };
    page.setState((state) => ({
      drawing,
      artwork,
      drawingState: 'current',
      trouble: null,
      open: state.open && { ...state.open, name: drawing.name },
      selected: stillThere(state.selected, drawing.parts, drawing.seams, drawing.notes.length),
      pointed: stillThere(state.pointed, drawing.parts, drawing.seams, drawing.notes.length),
    }));
  },
});

/** What was on the sheet when it was last drawn. */
let lastDrawn: (Pick<PageState, 'settings' | 'artwork'> & { readonly open: OpenPiece }) | undefined;

/** A file that cannot be drawn leaves the piece before it on the sheet; a setting that fails can be changed back. */
function goBack(trouble: Trouble): void {
  const { open } = page.getState();
  if (lastDrawn && open && lastDrawn.open.source.key !== open.source.key) {
    const aside = page.getState().aside.filter((one) => one.open.source.key !== lastDrawn?.open.source.key);
    page.setState({ ...lastDrawn, aside, drawingState: 'current', trouble });
  } else {
    page.setState({ drawingState: 'failed', trouble });
  }
}

function stillThere(
  mark: Mark | null,
  parts: readonly { readonly id: string }[],
  seams: readonly { readonly id: string }[],
  notes: number,
): Mark | null {
  if (!mark) return null;
  if (mark.kind === 'note') return Number(mark.id) <= notes ? mark : null;
  return (mark.kind === 'part' ? parts : seams).some((one) => one.id === mark.id) ? mark : null;
}

function redraw(): void {
  const { open, settings } = page.getState();
  if (open) workshop.draw(open.source, settings);
}

let keys = 0;
/** A new key for a source's text, so that the worker knows it is another one. */
function newKey(): string {
  keys += 1;
  return `s${keys}`;
}

function show(open: OpenPiece, pair: boolean): void {
  page.setState((state) => ({
    open,
    aside: withoutLoss(state, open),
    opening: false,
    trouble: null,
    selected: null,
    pointed: null,
    settings: {
      ...state.settings,
      // Tones are of one piece; what holds for all of them goes on to the next.
      records: { all: state.settings.records.all, byTone: {} },
      stocks: {},
      pair,
      turn: Array.isArray(state.settings.turn) ? 'auto' : state.settings.turn,
    },
  }));
  redraw();
}

/** What is set aside once `next` comes on the sheet: an unsaved piece that lay there too, and never `next` itself. */
function withoutLoss(state: PageState, next: OpenPiece): readonly SetAside[] {
  const others = state.aside.filter(({ open }) => open.source.key !== next.source.key);
  const { open, settings } = state;
  return open?.unsaved && open.source.key !== next.source.key ? [...others, { open, settings }] : others;
}

/** Takes up an unsaved piece again. */
export function takeUp({ open, settings }: SetAside): void {
  page.setState((state) => ({
    open,
    settings,
    aside: withoutLoss(state, open),
    trouble: null,
    selected: null,
    pointed: null,
  }));
  redraw();
}

function fail(trouble: Trouble): void {
  page.setState({ trouble, opening: false, busy: null });
}

export async function loadRegister(): Promise<void> {
  const outcome = await listPieces();
  if (!outcome.ok) {
    page.setState((state) => ({ register: { ...state.register, state: 'failed' } }));
    fail(outcome.trouble);
    return;
  }
  page.setState({ register: { state: 'ready', ...outcome.value } });
}

/** Reads the register and puts the piece that the address names, or the first, on the sheet. */
export async function start(): Promise<void> {
  await loadRegister();
  const { pieces } = page.getState().register;
  const wanted = pieces.find((piece) => piece.id === idInAddress()) ?? pieces[0];
  if (wanted) await openEntry(wanted);
  void drawMiniatures();
}

function idInAddress(): string {
  return decodeURIComponent(/^#\/pieces\/(.+)$/.exec(location.hash)?.[1] ?? '');
}

/** Follows the address when the reader goes back or forward. */
export function followAddress(): void {
  const id = idInAddress();
  const { open, register } = page.getState();
  if (id === '' || open?.entry?.id === id) return;
  const entry = register.pieces.find((piece) => piece.id === id);
  if (entry) void openEntry(entry);
}

/** Small pictures for the register, one after the other, after the piece on the sheet. */
async function drawMiniatures(): Promise<void> {
  for (const { id, version } of page.getState().register.pieces) {
    const key = `${id}@${version}`;
    if (page.getState().miniatures[key]) continue;
    const text = await fetchPiece(id);
    if (!text.ok) return;
    const made = await workshop.miniature({ kind: 'piece', key: `miniature ${key}`, text: text.value.text });
    if (made.ok) page.setState((state) => ({ miniatures: { ...state.miniatures, [key]: made.value } }));
  }
}

export async function openEntry(entry: PieceEntry): Promise<void> {
  page.setState({ opening: true });
  const outcome = await fetchPiece(entry.id);
  if (!outcome.ok) {
    fail(outcome.trouble);
    return;
  }
  const { text, version } = outcome.value;
  const source: Source = { kind: 'piece', key: newKey(), text };
  show({ source, name: entry.name, entry: { ...entry, version }, unsaved: false }, pairIn(text));
  const address = `#/pieces/${encodeURIComponent(entry.id)}`;
  // The reader may have gone to another place while the piece was read.
  const here = readAddress(location.hash).place === 'pieces';
  if (here && location.hash !== address) history.pushState(null, '', address);
}

/** Whether a piece file asks for a pair; the file itself is read and checked in the worker. */
function pairIn(text: string): boolean {
  try {
    return (JSON.parse(text) as { pair?: unknown } | null)?.pair === true;
  } catch {
    return false;
  }
}

/** Largest file taken, bytes; no drawing of a wearable piece needs more. */
const LARGEST_FILE = 64 * 1024 * 1024;

/** Opens a file of the maker's disk: a piece file or SVG artwork, told apart by content. */
export async function openFile(file: File): Promise<void> {
  if (file.size > LARGEST_FILE) {
    fail({
      title: 'The file is too large',
      detail: `${file.name} has ${(file.size / 1024 / 1024).toFixed(0)} MB; files up to 64 MB are read.`,
      where: file.name,
      hint: 'Simplify the drawing, or leave out embedded pictures.',
    });
    return;
  }
  page.setState({ opening: true });
  const text = await utf8(file);
  const start = text?.replace(/^\uFEFF/, '').trimStart() ?? '';
  const name = file.name.replace(/\.[^.]*$/, '');
  if (text !== undefined && start.startsWith('{')) {
    const source: Source = { kind: 'piece', key: newKey(), text };
    show({ source, name, entry: null, unsaved: true }, pairIn(text));
  } else if (text !== undefined && start.startsWith('<')) {
    const source: Source = {
      kind: 'artwork',
      key: newKey(),
      text,
      name,
      widthMm: null,
      strokes: false,
      becomes: {},
      toneNames: {},
    };
    show({ source, name, entry: null, unsaved: true }, false);
  } else {
    fail({
      title: 'This file cannot be opened',
      detail: `${file.name} is neither a piece file nor SVG artwork.`,
      where: file.name,
      hint: 'A piece file starts with "{", an SVG file with "<". Export the drawing as plain SVG, not compressed.',
    });
  }
}

async function utf8(file: File): Promise<string | undefined> {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(await file.arrayBuffer());
  } catch {
    return undefined;
  }
}

/** Changes how the artwork on the sheet is read: width, strokes, what fills become, names of tones. */
export function changeArtwork(change: Partial<Omit<ArtworkSource, 'kind' | 'key' | 'text'>>): void {
  page.setState((state) => {
    const { open } = state;
    if (open?.source.kind !== 'artwork') return state;
    return { open: { ...open, unsaved: true, source: { ...open.source, ...change } } };
  });
  redraw();
}

/** Ends the mapping of an artwork's tones: from here on it is a piece like any other. */
export async function makeArtworkAPiece(): Promise<void> {
  const { open } = page.getState();
  if (open?.source.kind !== 'artwork') return;
  const outcome = await workshop.pieceFile(open.source);
  if (!outcome.ok) {
    fail(outcome.trouble);
    return;
  }
  if (page.getState().open !== open) return;
  const source: Source = { kind: 'piece', key: newKey(), text: outcome.value.text };
  page.setState({
    open: { ...open, source },
    artwork: null,
    notice: `${open.name} is a piece now. It is not saved yet.`,
  });
  redraw();
}

export function setFit(change: Partial<FitNumbers>): void {
  changeSettings({ fit: { ...page.getState().settings.fit, ...change } });
}

/** Takes a fit record into use for a tone, or for all (null); null in its place goes back to typed numbers. */
export function takeRecord(tone: string | null, used: UsedRecord | null): void {
  const { records } = page.getState().settings;
  if (tone === null) {
    changeSettings({ records: { all: used, byTone: used ? {} : records.byTone } });
    return;
  }
  const { [tone]: _, ...others } = records.byTone;
  changeSettings({ records: { ...records, byTone: used ? { ...others, [tone]: used } : others } });
}

export function changeSettings(change: Partial<MakeSettings>): void {
  page.setState((state) => ({ settings: { ...state.settings, ...change } }));
  redraw();
}

export function setStock(tone: string, stock: string): void {
  const stocks = { ...page.getState().settings.stocks };
  if (stock.trim() === '') delete stocks[tone];
  else stocks[tone] = stock.trim();
  changeSettings({ stocks });
}

export function setView(view: View): void {
  page.setState({ view });
}

export function setFace(face: Face): void {
  page.setState({ face });
}

export function point(mark: Mark | null): void {
  page.setState({ pointed: mark });
}

export function select(mark: Mark | null): void {
  page.setState({ selected: mark });
}

/** Whether what failed is still wanted: the register, or the drawing on the sheet. */
export function canTryAgain(state: PageState): boolean {
  return state.register.state === 'failed' || state.drawingState === 'failed';
}

/** Puts trouble aside, and tries again what had failed. */
export function tryAgain(): void {
  const { drawingState, register } = page.getState();
  page.setState({ trouble: null });
  if (register.state === 'failed') void start();
  else if (drawingState === 'failed') redraw();
}

/** Takes the word on what was done off the page. */
export function clearNotice(): void {
  page.setState({ notice: '' });
}

export async function downloadCutFiles(): Promise<void> {
  const { open, settings } = page.getState();
  if (!open) return;
  page.setState({ busy: 'writing' });
  const outcome = await workshop.cutFiles(open.source, settings);
  if (!outcome.ok) {
    fail(outcome.trouble);
    return;
  }
  const { name, bytes, files } = outcome.value;
  offerFile(name, new Blob([bytes], { type: 'application/zip' }));
  page.setState({ busy: null, notice: `${files.length} files are in ${name}: ${files.join(', ')}.` });
}

/** Hands the piece file to the maker's disk. */
export async function downloadPiece(): Promise<void> {
  const { open } = page.getState();
  if (!open) return;
  const outcome = await workshop.pieceFile(open.source);
  if (!outcome.ok) {
    fail(outcome.trouble);
    return;
  }
  offerFile(outcome.value.name, new Blob([outcome.value.text], { type: 'application/json' }));
  page.setState({ notice: `${outcome.value.name} is on your disk.` });
}

/** Saves the piece in the workspace, as its next version or as a new piece. */
export async function saveToWorkspace(): Promise<void> {
  const { open } = page.getState();
  if (!open) return;
  page.setState({ busy: 'saving' });
  const file = await workshop.pieceFile(open.source);
  if (!file.ok) {
    fail(file.trouble);
    return;
  }
  const over = open.entry ? { id: open.entry.id, basedOn: open.entry.version } : null;
  const saved = await savePiece(file.value.text, over);
  if (!saved.ok) {
    fail(saved.trouble);
    return;
  }
  page.setState((state) => ({
    busy: null,
    notice: `Saved ${saved.value.name}, version ${saved.value.version}.`,
    open: state.open === open ? { ...open, entry: saved.value, unsaved: false } : state.open,
  }));
  history.replaceState(null, '', `#/pieces/${encodeURIComponent(saved.value.id)}`);
  await loadRegister();
  void drawMiniatures();
}
