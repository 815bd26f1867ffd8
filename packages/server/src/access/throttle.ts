/**
 * Waits after wrong codes. An address may be wrong three times, then it waits 2 s, 4 s, 8 s ... up to 15 minutes. All
 * addresses together may be wrong 60 times an hour: whoever has many addresses gains nothing by it. While one waits, the right
 * code is not taken either, so that waiting out is the only way.
 */
export interface Throttle {
  /** Seconds that an address must wait before its next try; 0 for none. */
  waitS(address: string): number;
  wrong(address: string): void;
  right(address: string): void;
}

const FREE_TRIES = 3;
const LONGEST_WAIT_S = 15 * 60;
const HOUR_MS = 3_600_000;
const WRONG_AN_HOUR = 60;
/** Addresses remembered; the oldest make room. */
const MOST_ADDRESSES = 1000;

export function openThrottle(now: () => number): Throttle {
  const addresses = new Map<string, { count: number; lastMs: number }>();
  let wrongs: number[] = [];

  function togetherS(): number {
    wrongs = wrongs.filter((at) => at > now() - HOUR_MS);
    return wrongs.length < WRONG_AN_HOUR ? 0 : (wrongs[0]! + HOUR_MS - now()) / 1000;
  }

  return {
    waitS(address) {
      const known = addresses.get(address);
      const own =
        known === undefined || known.count < FREE_TRIES
          ? 0
          : Math.min(LONGEST_WAIT_S, 2 ** (known.count - FREE_TRIES + 1)) - (now() - known.lastMs) / 1000;
      return Math.max(0, own, togetherS());
    },

    wrong(address) {
      const count = (addresses.get(address)?.count ?? 0) + 1;
      addresses.delete(address);
      addresses.set(address, { count, lastMs: now() });
      if (addresses.size > MOST_ADDRESSES) addresses.delete(addresses.keys().next().value!);
      wrongs.push(now());
    },

    right(address) {
      addresses.delete(address);
    },
  };
}
