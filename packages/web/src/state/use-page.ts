import { useStore } from 'zustand';
import { page } from './page.ts';
import type { PageState } from './page-state.ts';

/** Reads a part of the page's state; the component draws anew when that part changes. */
export function usePage<T>(read: (state: PageState) => T): T {
  return useStore(page, read);
}
