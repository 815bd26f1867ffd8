/** The address within the page: `#/PLACE/PAGE/ID?FIELD=VALUE`. A place is one of the workshop's; everything after it is the place's own. */
import { useSyncExternalStore } from 'react';

export const PLACES = [
  { id: 'pieces', name: 'Pieces' },
  { id: 'fit-book', name: 'Fit book' },
  { id: 'stock-room', name: 'Stock room' },
] as const;

export type PlaceId = (typeof PLACES)[number]['id'] | 'devices';

export interface Address {
  readonly place: PlaceId;
  /** What follows the place. */
  readonly rest: readonly string[];
  readonly query: Readonly<Record<string, string>>;
}

export function readAddress(hash: string): Address {
  const [path = '', search = ''] = hash.replace(/^#\/?/, '').split('?', 2);
  const [first = '', ...rest] = path.split('/').map(decoded);
  const place: PlaceId =
    first === 'devices' ? 'devices' : (PLACES.find(({ id }) => id === first)?.id ?? 'pieces');
  return { place, rest, query: Object.fromEntries(new URLSearchParams(search)) };
}

function decoded(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}

export function addressOf(
  place: PlaceId,
  rest: readonly string[] = [],
  query: Readonly<Record<string, string | undefined>> = {},
): string {
  const fields = Object.entries(query).filter(
    (pair): pair is [string, string] => pair[1] !== undefined && pair[1] !== '',
  );
  const search = fields.length === 0 ? '' : `?${new URLSearchParams(fields)}`;
  return `#/${[place, ...rest].map(encodeURIComponent).join('/')}${search}`;
}

export function goTo(address: string): void {
  location.hash = address;
}

function listen(told: () => void): () => void {
  addEventListener('hashchange', told);
  addEventListener('popstate', told);
  return () => {
    removeEventListener('hashchange', told);
    removeEventListener('popstate', told);
  };
}

let last: { readonly hash: string; readonly address: Address } | undefined;

function current(): Address {
  const { hash } = location;
  if (last?.hash !== hash) last = { hash, address: readAddress(hash) };
  return last.address;
}

export function useAddress(): Address {
  return useSyncExternalStore(listen, current);
}
