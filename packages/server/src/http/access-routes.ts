import { type SessionState, type Share, signInSchema } from '@inlaywright/formats';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { newCode, sameCode } from '../access/code.ts';
import { qrSvg } from '../access/qr.ts';
import { openSessions, SESSION_DAYS, type Sessions } from '../access/sessions.ts';
import { openThrottle } from '../access/throttle.ts';
import { cookieOf, fromThisMachine, refuseForeign, tokenIn, type Who } from '../access/who.ts';
import { WorkspaceError } from '../errors.ts';
import type { Sqlite } from '../storage/sqlite.ts';
import { enterPage, PLAIN_POLICY, sharePage } from './plain-page.ts';
import { problemFromError } from './problem.ts';
import { bodyOf } from './request.ts';

/** Who gets in, and how. Sharing can begin after the server listens: only then its port is known. */
export interface Access {
  readonly sessions: Sessions;
  /** The access code, where the workspace is shared. */
  code(): string | undefined;
  /** Addresses for other devices, `http://HOST:PORT/`. */
  addresses(): string[];
  /** Opens the workspace to other devices at these addresses, `HOST:PORT`; returns the access code. */
  share(hosts: readonly string[]): string;
  who(request: FastifyRequest): Who;
  /** Throws WorkspaceError foreign-request, code-needed; or sends a stranger's browser to where the code is entered. */
  guard(request: FastifyRequest, reply: FastifyReply): FastifyReply | undefined;
}

/** What a device may ask for before it entered the code. */
const OPEN_PATHS = new Set(['/api/health', '/api/session', '/enter']);

export function openAccess(sqlite: Sqlite, now: () => Date): Access {
  const sessions = openSessions(sqlite, now);
  let hosts: ReadonlySet<string> = new Set();
  let code: string | undefined;

  function who(request: FastifyRequest): Who {
    if (fromThisMachine(request)) return { kind: 'machine' };
    const token = tokenIn(request);
    const session = token === undefined ? undefined : sessions.find(token);
    return session === undefined ? { kind: 'stranger' } : { kind: 'device', session };
  }

  return {
    sessions,
    code: () => code,
    addresses: () => [...hosts].map((host) => `http://${host}/`),
    share(all) {
      hosts = new Set(all.map((host) => host.toLowerCase()));
      code = newCode();
      return code;
    },
    who,
    guard(request, reply) {
      refuseForeign(request, hosts);
      const path = request.url.split('?')[0]!;
      if (OPEN_PATHS.has(path) || who(request).kind !== 'stranger') return undefined;
      if (request.method === 'GET' && !path.startsWith('/api/')) return reply.redirect('/enter', 303);
      throw new WorkspaceError(
        'code-needed',
        'This device has not entered the access code, or was turned away.',
        {
          hint: 'Load the page again and enter the code that the serving machine shows.',
        },
      );
    },
  };
}

export function accessRoutes(app: FastifyInstance, access: Access, now: () => Date): void {
  const throttle = openThrottle(() => now().getTime());
  const { sessions } = access;

  /** Checks a code and signs the device in. Throws WorkspaceError not-shared, code-wait, code-wrong. */
  function signIn(request: FastifyRequest, typed: string, device: string): string {
    const code = access.code();
    if (code === undefined) {
      throw new WorkspaceError(
        'not-shared',
        'Nobody needs a code: the workspace is open on this machine only.',
        {
          hint: 'Start the program with --share to open it to other devices.',
        },
      );
    }
    const wait = throttle.waitS(request.ip);
    if (wait > 0) {
      throw new WorkspaceError('code-wait', `Wait ${Math.ceil(wait)} s before the next try.`, {
        hint: 'Look the code up where it is shown: in the terminal and at /api/share on the serving machine.',
        details: { retryAfterS: Math.ceil(wait) },
      });
    }
    if (!sameCode(typed, code)) {
      throttle.wrong(request.ip);
      throw new WorkspaceError('code-wrong', 'The code is not the one that is shown.', {
        where: 'code',
        hint: 'Type the eight letters and digits that the serving machine shows; a new start makes a new code.',
      });
    }
    throttle.right(request.ip);
    return cookieOf(sessions.open(device === '' ? agentOf(request) : device), SESSION_DAYS * 86_400);
  }

  function stateOf(request: FastifyRequest, signedIn = access.who(request).kind === 'device'): SessionState {
    return { local: fromThisMachine(request), signedIn, shared: access.code() !== undefined };
  }

  app.get('/api/session', (request) => stateOf(request));

  app.post('/api/session', (request, reply) => {
    const { code, device } = bodyOf(request, signInSchema);
    reply.header('set-cookie', signIn(request, code, device));
    return reply.code(201).send(stateOf(request, true));
  });

  app.delete('/api/session', (request, reply) => {
    const who = access.who(request);
    if (who.kind === 'device') sessions.end(who.session);
    return reply.header('set-cookie', cookieOf('', 0)).code(204).send();
  });

  app.get('/api/sessions', (request) => {
    machineOnly(access, request);
    return { sessions: sessions.list() };
  });

  app.delete<{ Params: { id: string } }>('/api/sessions/:id', (request, reply) => {
    machineOnly(access, request);
    if (!sessions.end(request.params.id)) {
      throw new WorkspaceError('no-such-session', 'No device of this id is signed in.', {
        hint: 'Load the list again; its session may have ended.',
      });
    }
    return reply.code(204).send();
  });

  app.get('/api/share', async (request, reply) => {
    machineOnly(access, request);
    const code = access.code();
    const addresses = access.addresses();
    const [address] = addresses;
    const share: Share =
      code === undefined || address === undefined
        ? { shared: false, addresses: [], code: null, qrSvg: null }
        : { shared: true, addresses, code, qrSvg: await qrSvg(enterAddress(address, code)) };
    reply.header('cache-control', 'no-store');
    if (!/text\/html/.test(request.headers.accept ?? '')) return share;
    const shown = share.shared ? { address: address!, code: code!, qrSvg: share.qrSvg! } : undefined;
    return plain(reply, sharePage(shown));
  });

  app.get<{ Querystring: { code?: unknown } }>('/enter', (request, reply) => {
    if (access.who(request).kind !== 'stranger') return reply.redirect('/', 303);
    const { code } = request.query;
    return plain(reply, enterPage(typeof code === 'string' ? code : '', ''));
  });

  app.post('/enter', (request, reply) => {
    const form = new URLSearchParams(typeof request.body === 'string' ? request.body : '');
    const typed = (form.get('code') ?? '').slice(0, 64);
    try {
      const cookie = signIn(request, typed, (form.get('device') ?? '').trim().slice(0, 80));
      return reply.header('set-cookie', cookie).redirect('/', 303);
    } catch (error) {
      if (!(error instanceof WorkspaceError)) throw error;
      const { status } = problemFromError(error);
      return plain(reply.code(status), enterPage(typed, `${error.message} ${error.hint}`));
    }
  });
}

/** The address that a QR code holds: the page where the code is entered, with the code filled in. */
export function enterAddress(address: string, code: string): string {
  return `${address}enter?code=${code}`;
}

function machineOnly(access: Access, request: FastifyRequest): void {
  if (access.who(request).kind === 'machine') return;
  throw new WorkspaceError(
    'machine-only',
    'Devices and the access code are managed on the serving machine only.',
    {
      hint: 'Open the page on the machine where the program runs.',
    },
  );
}

/** What a device calls itself, cut short: a help to tell sessions apart, nothing more. */
function agentOf(request: FastifyRequest): string {
  const agent = request.headers['user-agent'] ?? '';
  const system = /\(([^;)]+)/.exec(agent)?.[1];
  return (system ?? agent).slice(0, 80) || 'unnamed device';
}

function plain(reply: FastifyReply, html: string): FastifyReply {
  return (
    reply
      .header('content-type', 'text/html; charset=utf-8')
      .header('content-security-policy', PLAIN_POLICY)
      // Under `no-referrer` a browser sends `Origin: null` with the form's POST (Fetch standard, append a request Origin
      // header), which the guard against foreign pages must refuse.
      .header('referrer-policy', 'same-origin')
      .header('cache-control', 'no-store')
      .send(html)
  );
}
