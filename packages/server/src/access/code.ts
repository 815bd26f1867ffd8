import { createHash, randomBytes, randomInt, timingSafeEqual } from 'node:crypto';

/**
 * Access codes are eight letters and digits of an alphabet without look-alikes (Crockford's base 32: no I, L, O, U), shown in
 * two groups: 40 bits. With the waits of throttle.ts guessers get 1,440 tries a day, so that a code would last a million
 * years on average.
 */
const ALPHABET = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';
const LENGTH = 8;

export function newCode(): string {
  const letters = Array.from({ length: LENGTH }, () => ALPHABET[randomInt(ALPHABET.length)]);
  return `${letters.slice(0, 4).join('')}-${letters.slice(4).join('')}`;
}

/** A code as typed, made comparable: case, spaces and hyphens do not matter, look-alikes are read as what was meant. */
export function readCode(typed: string): string {
  return typed.toUpperCase().replace(/[\s-]/g, '').replace(/O/g, '0').replace(/[IL]/g, '1');
}

/** Compares in a time that does not depend on where the two differ. */
export function sameCode(typed: string, code: string): boolean {
  return timingSafeEqual(digest(readCode(typed)), digest(readCode(code)));
}

function digest(text: string): Buffer {
  return createHash('sha256').update(text).digest();
}

/** A session's token, 256 bits, for the cookie; only its hash is stored. */
export function newToken(): string {
  return randomBytes(32).toString('base64url');
}

export function tokenHash(token: string): string {
  return digest(token).toString('hex');
}
