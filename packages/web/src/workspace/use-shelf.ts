import type { Document, DocumentKind, MaterialEntry } from '@inlaywright/formats';
import { useEffect } from 'react';
import { useStore } from 'zustand';
import { need, type ShelfState, shelf } from './shelf.ts';

export function useShelf<T>(read: (state: ShelfState) => T): T {
  return useStore(shelf, read);
}

/** Every document of a kind, up to date; null until it is read. */
export function useDocuments<K extends DocumentKind>(kind: K): readonly Document<K>[] | null {
  useEffect(() => void need(kind), [kind]);
  return useShelf((state) => (state.documents[kind] as readonly Document<K>[] | undefined) ?? null);
}

/** Built-in and own materials; null until they are read. */
export function useMaterials(): readonly MaterialEntry[] | null {
  useEffect(() => void need('materialTable'), []);
  return useShelf((state) => state.materials);
}
