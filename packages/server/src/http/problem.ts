import { FormatError, type Problem } from '@inlaywright/formats';
import { GeometryError } from '@inlaywright/geometry';
import { WorkshopError } from '@inlaywright/workshop';
import type { FastifyError, FastifyReply, FastifyRequest } from 'fastify';
import { CATALOGUE, type ErrorCode, WorkspaceError } from '../errors.ts';
import { storageTrouble } from '../storage/trouble.ts';

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
  return problemFromError(storageTrouble(error) ?? fromServer(error as Error));
}

/** What the HTTP server itself refuses, and what nobody expected. */
function fromServer(error: Error): WorkspaceError {
  const code = BY_STATUS[(error as FastifyError).statusCode ?? 500] ?? 'server-failed';
  return new WorkspaceError(code, code === 'server-failed' ? FAILED : error.message, { hint: HINTS[code] });
}

const FAILED = 'The server met an error that it did not expect. Nothing was saved.';

const HINTS = {
  'request-unreadable': 'Load the page again; it may be older than the server.',
  'too-large': 'Simplify the drawing; pieces up to 8 MB are taken, everything else up to 2 MB.',
  'not-json-type': 'Send it as application/json.',
  'too-many-requests': 'Wait a minute.',
  'server-failed':
    'Save the piece as a file from the page, then start the server again; its terminal shows the error.',
} as const satisfies Partial<Record<ErrorCode, string>>;

const BY_STATUS: Readonly<Record<number, keyof typeof HINTS>> = {
  400: 'request-unreadable',
  413: 'too-large',
  415: 'not-json-type',
  429: 'too-many-requests',
};
