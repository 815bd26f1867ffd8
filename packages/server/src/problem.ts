import { FormatError, type Problem } from '@inlaywright/formats';
import type { FastifyError, FastifyReply } from 'fastify';

/** Sends a problem document (RFC 9457). */
export function sendProblem(reply: FastifyReply, problem: Problem): FastifyReply {
  return reply
    .code(problem.status)
    .header('content-type', 'application/problem+json; charset=utf-8')
    .send(JSON.stringify(problem));
}

/** What went wrong in a route, told to the maker. Only what is ours to explain is explained; a bug says so. */
export function problemOf(error: FastifyError | FormatError | Error): Problem {
  if (error instanceof FormatError) {
    return {
      type: `urn:inlaywright:problem:${error.code}`,
      title: 'The piece file cannot be read',
      status: 422,
      detail: error.message,
      where: error.where,
      hint: error.hint,
    };
  }
  const status = (error as FastifyError).statusCode ?? 500;
  const known = KNOWN[status];
  if (known)
    return { type: 'about:blank', title: known.title, status, detail: error.message, hint: known.hint };
  const code = (error as NodeJS.ErrnoException).code;
  if (code === 'ENOSPC' || code === 'EACCES' || code === 'EPERM' || code === 'EROFS') {
    return {
      type: `urn:inlaywright:problem:workspace-${code.toLowerCase()}`,
      title: 'The workspace folder cannot be written',
      status: 507,
      detail: error.message,
      hint:
        code === 'ENOSPC'
          ? 'Free some space on the disk and save again.'
          : 'Give yourself the right to write there, or start with another workspace folder.',
    };
  }
  return {
    type: 'about:blank',
    title: 'The server failed',
    status: 500,
    detail: 'The server met an error that it did not expect. Nothing was saved.',
    hint: 'Save the piece as a file from the page, then start the server again; its terminal shows the error.',
  };
}

const KNOWN: Readonly<Record<number, { title: string; hint: string }>> = {
  400: { title: 'The request cannot be read', hint: 'Load the page again; it may be older than the server.' },
  413: { title: 'The piece file is too large', hint: 'Simplify its drawing; files up to 8 MB are taken.' },
  415: { title: 'Only JSON is taken', hint: 'Send the piece file as application/json.' },
  429: { title: 'Too many requests', hint: 'Wait a minute.' },
};
