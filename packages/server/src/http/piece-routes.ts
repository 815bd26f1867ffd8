import { type PieceEntry, readPiece, writePiece } from '@inlaywright/formats';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import { WorkspaceError } from '../errors.ts';
import { type Draft, type Head, noSuch, type Store, type Stored } from '../storage/store.ts';
import { noSuchVersion } from './document-routes.ts';
import { basedOn, onceOf, queryOf, withVersion } from './request.ts';
import { withConflict } from './stale.ts';

type Named = { Params: { id: string } };
type NamedVersion = { Params: { id: string; version: string } };

const listQuery = z.strictObject({ deleted: z.literal('1').optional() });

/** The register of pieces. They travel as the text of their piece files; a piece's version is its entity tag. */
export function pieceRoutes(app: FastifyInstance, store: Store): void {
  app.get('/api/pieces', (request) => ({
    pieces: store.heads('pieces', { deleted: queryOf(request, listQuery).deleted === '1' }).map(entryOf),
    unreadable: [],
  }));

  app.get<Named>('/api/pieces/:id', (request, reply) => {
    const { id } = request.params;
    const stored = store.get('pieces', id);
    if (!stored) throw noSuch('pieces', id);
    if (stored.deletedAt !== null) {
      throw new WorkspaceError(
        'deleted',
        `${stored.name} was put aside on ${stored.deletedAt.slice(0, 10)}.`,
        {
          where: id,
          hint: 'Restore it from the list of pieces that were put aside.',
        },
      );
    }
    return sendText(reply, stored);
  });

  app.get<Named>('/api/pieces/:id/versions', (request) => ({
    versions: store.versions('pieces', request.params.id),
  }));

  app.get<NamedVersion>('/api/pieces/:id/versions/:version', (request, reply) => {
    const { id, version } = request.params;
    const stored = /^\d{1,9}$/.test(version) ? store.version('pieces', id, Number(version)) : undefined;
    if (!stored) throw noSuchVersion(`pieces/${id}`, version);
    return sendText(reply, stored);
  });

  app.post('/api/pieces', (request, reply) => {
    const { head, again } = store.create(draftOfPiece(request), { once: onceOf(request) });
    return sendEntry(reply, head, again ? 200 : 201);
  });

  app.post<Named>('/api/pieces/:id/copies', (request, reply) => {
    const { id } = request.params;
    const version = basedOn(request, `a copy of ${id}`);
    if (!store.get('pieces', id)) throw noSuch('pieces', id);
    const { head, again } = store.create(draftOfPiece(request), {
      once: onceOf(request),
      copyOf: { id, version },
    });
    return sendEntry(reply, head, again ? 200 : 201);
  });

  app.put<Named>('/api/pieces/:id', (request, reply) => {
    const { id } = request.params;
    if (!store.get('pieces', id)) throw noSuch('pieces', id);
    const from = basedOn(request, id);
    const draft = draftOfPiece(request);
    const { head } = withConflict(draft.content, () => store.replace(id, draft, from));
    return sendEntry(reply, head, 200);
  });

  app.delete<Named>('/api/pieces/:id', (request, reply) => {
    const { id } = request.params;
    withConflict(null, () => store.remove('pieces', id, basedOn(request, id)));
    return reply.code(204).send();
  });

  app.post<Named>('/api/pieces/:id/restore', (request, reply) =>
    sendEntry(reply, store.restore('pieces', request.params.id), 200),
  );
}

/** The body read as a piece file, and written anew: what is stored has one form. */
function draftOfPiece(request: FastifyRequest): Draft {
  const piece = readPiece(typeof request.body === 'string' ? request.body : '');
  return { kind: 'pieces', name: piece.name, content: writePiece(piece), links: [] };
}

function entryOf(head: Head): PieceEntry {
  return {
    id: head.id,
    name: head.name,
    version: head.version,
    savedAt: head.demo ? null : head.savedAt,
    ...(head.deletedAt === null ? {} : { deletedAt: head.deletedAt }),
    ...(head.copyOf === undefined ? {} : { copyOf: head.copyOf }),
  };
}

function sendText(reply: FastifyReply, stored: Stored): FastifyReply {
  return withVersion(reply, stored.version)
    .header('content-type', 'application/json; charset=utf-8')
    .send(stored.content);
}

function sendEntry(reply: FastifyReply, head: Head, status: number): FastifyReply {
  return withVersion(reply, head.version)
    .code(status)
    .header('location', `/api/pieces/${head.id}`)
    .send(entryOf(head));
}
