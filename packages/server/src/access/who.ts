import type { FastifyRequest } from 'fastify';
import { WorkspaceError } from '../errors.ts';

/** Who sent a request. */
export type Who =
  /** The machine that serves: it needs no code. */
  | { readonly kind: 'machine' }
  /** Another device that entered the code. */
  | { readonly kind: 'device'; readonly session: string }
  /** Another device that did not. */
  | { readonly kind: 'stranger' };

/** The loopback addresses that we listen on; nothing but this machine reaches them. */
const LOOPBACK = new Set(['127.0.0.1', '::1', '::ffff:127.0.0.1']);
/** What this machine calls itself there. */
const LOOPBACK_NAMES = new Set(['127.0.0.1', 'localhost', '[::1]']);

/** Whether a request came in through the loopback interface, by the address it arrived at, never by what it says of itself. */
export function fromThisMachine(request: FastifyRequest): boolean {
  const { localAddress, remoteAddress } = request.socket;
  // Injected requests of tests have no socket of their own, and only say where they come from.
  return LOOPBACK.has(localAddress ?? remoteAddress ?? '') && LOOPBACK.has(remoteAddress ?? '');
}

/**
 * Refuses what is not addressed to us, or not sent by our own page: a name that some page's DNS points at us (rebinding),
 * another origin, also of this machine at another port, a page from elsewhere that embeds us.
 * @param shared addresses for other devices, `HOST:PORT`
 * @throws WorkspaceError foreign-request
 */
export function refuseForeign(request: FastifyRequest, shared: ReadonlySet<string>): void {
  const host = (request.headers.host ?? '').toLowerCase();
  const ours = fromThisMachine(request)
    ? LOOPBACK_NAMES.has(host.replace(/:\d{1,5}$/, ''))
    : shared.has(host);
  if (!ours)
    throw foreign(`This server answers to ${names(request, shared)}, not to "${host.slice(0, 80)}".`);
  const origin = request.headers.origin?.toLowerCase();
  if (origin !== undefined && origin !== `http://${host}`) {
    throw foreign(`A page from ${origin.slice(0, 120)} may not use this server.`);
  }
  const site = request.headers['sec-fetch-site'];
  const outside = site === 'cross-site' || site === 'same-site';
  if (outside && request.headers['sec-fetch-mode'] !== 'navigate') {
    throw foreign('A page from elsewhere may not use this server.');
  }
}

function names(request: FastifyRequest, shared: ReadonlySet<string>): string {
  return fromThisMachine(request) ? 'localhost only' : [...shared].join(' and ') || 'localhost only';
}

function foreign(message: string): WorkspaceError {
  return new WorkspaceError('foreign-request', message, {
    hint: 'Open the address that the terminal printed at the start.',
  });
}

export const COOKIE = 'inlaywright-session';

/** The session's token in a request's cookies. */
export function tokenIn(request: FastifyRequest): string | undefined {
  for (const pair of (request.headers.cookie ?? '').split(';')) {
    const [name, value] = pair.trim().split('=', 2);
    if (name === COOKIE && value !== undefined && /^[\w-]{43}$/.test(value)) return value;
  }
  return undefined;
}

/** The cookie that carries a token; scripts cannot read it, and no other site's page sends it. */
export function cookieOf(token: string, maxAgeS: number): string {
  return `${COOKIE}=${token}; Path=/; Max-Age=${maxAgeS}; HttpOnly; SameSite=Strict`;
}
