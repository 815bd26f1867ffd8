import { type PieceEntry, pieceIdSchema, readPiece, writePiece } from '@inlaywright/formats';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { sendProblem } from './problem.ts';
import type { Workspace } from './workspace.ts';

/** The register of pieces over HTTP. A piece's version is its entity tag; saving names the version it started from. */
export function pieceRoutes(app: FastifyInstance, workspace: Workspace): void {
  app.get('/api/pieces', () => workspace.list());

  app.get<{ Params: { id: string } }>('/api/pieces/:id', (request, reply) => {
    const stored = workspace.get(request.params.id);
    if (!stored) return noSuchPiece(reply, request.params.id);
    return reply
      .header('etag', `"${stored.entry.version}"`)
      .header('cache-control', 'no-cache')
      .header('content-type', 'application/json; charset=utf-8')
      .send(stored.text);
  });

  app.post<{ Body: string }>('/api/pieces', (request, reply) => {
    const piece = readPiece(request.body);
    const id = workspace.freeId(piece.name);
    return answerSaved(reply, id, workspace.save(id, writePiece(piece), 0), 201);
  });

  app.put<{ Params: { id: string }; Body: string }>('/api/pieces/:id', (request, reply) => {
    const { id } = request.params;
    if (!pieceIdSchema.safeParse(id).success) return noSuchPiece(reply, id);
    const basedOn = versionAsked(request);
    if (basedOn === undefined) {
      return sendProblem(reply, {
        type: 'urn:inlaywright:problem:version-missing',
        title: 'The version is missing',
        status: 428,
        detail: `Saving ${id} needs an If-Match header with the version the change started from, such as "3".`,
        hint: 'Read the piece first; its ETag header is the version.',
      });
    }
    const text = writePiece(readPiece(request.body));
    return answerSaved(reply, id, workspace.save(id, text, basedOn), 200);
  });
}

function versionAsked(request: FastifyRequest): number | undefined {
  const match = /^"(\d{1,9})"$/.exec(request.headers['if-match'] ?? '');
  return match ? Number(match[1]) : undefined;
}

function answerSaved(
  reply: FastifyReply,
  id: string,
  saved: ReturnType<Workspace['save']>,
  status: number,
): FastifyReply | PieceEntry {
  if (saved.ok) {
    return reply
      .code(status)
      .header('etag', `"${saved.entry.version}"`)
      .header('location', `/api/pieces/${id}`)
      .send(saved.entry);
  }
  return sendProblem(reply, {
    type: 'urn:inlaywright:problem:piece-stale',
    title: 'Somebody saved this piece in between',
    status: 412,
    detail: `The newest version of ${id} is ${saved.current}; this change started from an older one. Nothing was saved.`,
    hint: 'Open the newest version and make the change again, or save this one under another name.',
  });
}

function noSuchPiece(reply: FastifyReply, id: string): FastifyReply {
  return sendProblem(reply, {
    type: 'urn:inlaywright:problem:piece-missing',
    title: 'No such piece',
    status: 404,
    detail: `The workspace has no piece "${id.slice(0, 80)}".`,
    hint: 'Choose one from the list of pieces; it may have been renamed.',
  });
}
