import { useSyncExternalStore } from 'react';

/** Whether the screen is as asked for, such as `(min-width: 1200px)`. */
export function useMedia(query: string): boolean {
  return useSyncExternalStore(
    (told) => {
      const list = matchMedia(query);
      list.addEventListener('change', told);
      return () => list.removeEventListener('change', told);
    },
    () => matchMedia(query).matches,
  );
}
