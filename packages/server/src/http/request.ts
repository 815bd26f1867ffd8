import type { FastifyReply, FastifyRequest } from 'fastify';
import type { z } from 'zod';
import { WorkspaceError } from '../errors.ts';
import { type OnceKey, requestHash } from '../storage/store.ts';

/** Bodies above this are refused, bytes; a piece of 20,000 segments takes about 3 MB. */
export const BODY_LIMIT_BYTES = 8 * 1024 * 1024;
/** Bodies of everything but pieces. */
export const DOCUMENT_LIMIT_BYTES = 2 * 1024 * 1024;
/** Issues named in one problem; a body with more is wrong from the ground up. */
const MOST_ISSUES = 8;

/** The body as typed data, with every place that is wrong in the refusal. */
export function bodyOf<T>(request: FastifyRequest, schema: z.ZodType<T>): T {
  const text = typeof request.body === 'string' ? request.body : '';
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch (error) {
    throw new WorkspaceError(
      'body-not-json',
      `The body of the request is not JSON: ${(error as Error).message}.`,
      {
        where: 'body',
        hint: 'Send one JSON object; docs/server.md shows the fields.',
      },
    );
  }
  return checked(schema, json, 'body-invalid', 'docs/server.md shows each field with its unit and limits.');
}

/** What stands after the question mark, as typed data; unknown names are refused. */
export function queryOf<T>(request: FastifyRequest, schema: z.ZodType<T>): T {
  return checked(schema, request.query, 'query-invalid', 'docs/server.md lists what each address takes.');
}

function checked<T>(
  schema: z.ZodType<T>,
  value: unknown,
  code: 'body-invalid' | 'query-invalid',
  hint: string,
): T {
  const result = schema.safeParse(value);
  if (result.success) return result.data;
  const issues = result.error.issues.slice(0, MOST_ISSUES).map(({ path, message }) => ({
    where: path.map(String).join('.') || 'body',
    message,
  }));
  throw new WorkspaceError(code, issues.map(({ where, message }) => `${where}: ${message}`).join('; '), {
    where: issues[0]!.where,
    hint,
    details: { issues },
  });
}

/** The version that a change started from. */
export function basedOn(request: FastifyRequest, what: string): number {
  const match = /^"(\d{1,9})"$/.exec(request.headers['if-match'] ?? '');
  if (match) return Number(match[1]);
  throw new WorkspaceError(
    'version-missing',
    `Changing ${what} needs an If-Match header with the version the change started from, such as "3".`,
    { where: 'if-match', hint: 'Read it first; its ETag header is the version.' },
  );
}

/** The request's idempotency key, with a fingerprint of what it asks for. */
export function onceOf(request: FastifyRequest): OnceKey | undefined {
  const key = request.headers['idempotency-key'];
  if (key === undefined) return undefined;
  if (typeof key !== 'string' || !/^[\x21-\x7e]{8,128}$/.test(key)) {
    throw new WorkspaceError('key-invalid', 'The idempotency key must have 8 to 128 visible characters.', {
      where: 'idempotency-key',
      hint: 'Use a random UUID for each thing to store.',
    });
  }
  const body = typeof request.body === 'string' ? request.body : '';
  return { key, requestHash: requestHash(request.method, request.url, body) };
}

/** Sends something with its version as entity tag. */
export function withVersion(reply: FastifyReply, version: number): FastifyReply {
  return reply.header('etag', `"${version}"`).header('cache-control', 'no-cache');
}
