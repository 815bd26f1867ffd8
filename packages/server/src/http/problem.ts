import { FormatError, type Problem } from '@inlaywright/formats';
import { GeometryError } from '@inlaywright/geometry';
import { WorkshopError } from '@inlaywright/workshop';
import type { FastifyError, FastifyReply, FastifyRequest } from 'fastify';
import { CATALOGUE, type ErrorCode, WorkspaceError } from '../errors.ts';
import { sqliteCode } from '../storage/sqlite.ts';

/** Sends a problem document (RFC 9457). */
export function sendProblem(request: FastifyRequest, reply: FastifyReply, problem: Problem): FastifyReply {
  const wait = problem.retryAfterS;
  if (wait !== undefined) reply.header('retry-after', String(Math.ceil(wait)));
  return reply
    .code(problem.status)
    .header('content-type', 'application/problem+json; charset=utf-8')
    .header('cache-control', 'no-store')
    .send(JSON.stringify({ ...problem, instance: instanceOf(request) }));
}

/** The path of the request; what follows a question mark may hold an access code and is left out. */
function instanceOf(request: FastifyRequest): string {
  return request.url.split('?')[0]!.slice(0, 300);
}

export function problemFromError(error: WorkspaceError): Problem {
  const { title, status } = CATALOGUE[error.code];
  return {
    type: `urn:inlaywright:problem:${error.code}`,
    title,
    status,
    detail: error.message,
    hint: error.hint,
    ...(error.where === '' ? {} : { where: error.where }),
    ...error.details,
  };
}

/** What went wrong in a route, told to the maker. Only what is ours to explain is explained; a bug says so. */
export function problemOf(error: unknown): Problem {
  if (error instanceof WorkspaceError) return problemFromError(error);
  if (error instanceof FormatError || error instanceof WorkshopError || error instanceof GeometryError) {
    return {
      type: `urn:inlaywright:problem:${error.code}`,
      title: 'What was sent cannot be used',
      status: 422,
      detail: error.message,
      hint: 'hint' in error ? error.hint : 'Mend it and send it again.',
      ...(error instanceof FormatError ? { where: error.where } : {}),
    };
  }
  return problemFromError(named(error as Error));
}

function named(error: Error): WorkspaceError {
  const code = codeOf(error);
  return new WorkspaceError(code, code === 'server-failed' ? FAILED : error.message, { hint: HINTS[code] });
}

const FAILED = 'The server met an error that it did not expect. Nothing was saved.';

const HINTS = {
  'request-unreadable': 'Load the page again; it may be older than the server.',
  'too-large': 'Simplify the drawing; pieces up to 8 MB are taken, everything else up to 2 MB.',
  'not-json-type': 'Send it as application/json.',
  'too-many-requests': 'Wait a minute.',
  'workspace-busy': 'Another program writes the workspace; try again in a few seconds.',
  'workspace-full': 'Free some space on the disk and save again.',
  'workspace-unwritable': 'Give yourself the right to write there, or start with another workspace folder.',
  'server-failed':
    'Save the piece as a file from the page, then start the server again; its terminal shows the error.',
} as const satisfies Partial<Record<ErrorCode, string>>;

function codeOf(error: Error): keyof typeof HINTS {
  const sqlite = sqliteCode(error);
  const system = (error as NodeJS.ErrnoException).code;
  if (sqlite !== undefined) {
    if (/^SQLITE_(BUSY|LOCKED)/.test(sqlite)) return 'workspace-busy';
    if (/^SQLITE_FULL/.test(sqlite)) return 'workspace-full';
    if (/^SQLITE_(READONLY|CANTOPEN|PERM|IOERR)/.test(sqlite)) return 'workspace-unwritable';
    return 'server-failed';
  }
  if (system === 'ENOSPC') return 'workspace-full';
  if (system === 'EACCES' || system === 'EPERM' || system === 'EROFS') return 'workspace-unwritable';
  switch ((error as FastifyError).statusCode) {
    case 400:
      return 'request-unreadable';
    case 413:
      return 'too-large';
    case 415:
      return 'not-json-type';
    case 429:
      return 'too-many-requests';
    default:
      return 'server-failed';
  }
}
