import { BODY_SCHEMAS, type BodyOf, DOCUMENT_KINDS, type DocumentKind } from '@inlaywright/formats';
import type { FastifyInstance, FastifyReply } from 'fastify';
import { z } from 'zod';
import { WorkspaceError } from '../errors.ts';
import { checkAgainstWorkspace, documentOf, documentsOf, draftOf, isBuiltIn, LIST_FIELDS } from '../kinds.ts';
import { noSuch, type Store } from '../storage/store.ts';
import { basedOn, bodyOf, DOCUMENT_LIMIT_BYTES, onceOf, queryOf, withVersion } from './request.ts';
import { withConflict } from './stale.ts';

type Named = { Params: { id: string } };
type NamedVersion = { Params: { id: string; version: string } };

/** Lists, saves and histories of every kind but pieces. */
export function documentRoutes(app: FastifyInstance, store: Store): void {
  for (const kind of DOCUMENT_KINDS) kindOf(app, store, kind);
}

function kindOf<K extends DocumentKind>(app: FastifyInstance, store: Store, kind: K): void {
  const schema = BODY_SCHEMAS[kind] as unknown as z.ZodType<BodyOf<K>>;
  const at = `/api/${kind}`;
  const limit = { bodyLimit: DOCUMENT_LIMIT_BYTES };
  const query = z.strictObject({
    deleted: z.literal('1').optional(),
    ...Object.fromEntries(LIST_FIELDS[kind].map((field) => [field, z.string().max(64).optional()])),
  });
  const taken = kind === 'materials' ? isBuiltIn : () => false;

  function send(reply: FastifyReply, id: string, status = 200): FastifyReply {
    const document = documentOf(store, kind, store.get(kind, id)!);
    return withVersion(reply, document.version).code(status).header('location', `${at}/${id}`).send(document);
  }

  app.get(at, (request) => {
    const { deleted, ...fields } = queryOf(request, query) as Record<string, string | undefined>;
    const where = Object.fromEntries(
      Object.entries(fields).filter((pair): pair is [string, string] => pair[1] !== undefined),
    );
    return { items: documentsOf(store, kind, store.list(kind, { deleted: deleted === '1', where })) };
  });

  app.get<Named>(`${at}/:id`, (request, reply) => {
    const { id } = request.params;
    const stored = store.get(kind, id);
    if (!stored) throw noSuch(kind, id);
    return withVersion(reply, stored.version).send(documentOf(store, kind, stored));
  });

  app.get<Named>(`${at}/:id/versions`, (request) => ({ versions: store.versions(kind, request.params.id) }));

  app.get<NamedVersion>(`${at}/:id/versions/:version`, (request, reply) => {
    const { id, version } = request.params;
    const stored = /^\d{1,9}$/.test(version) ? store.version(kind, id, Number(version)) : undefined;
    if (!stored) throw noSuchVersion(`${kind}/${id}`, version);
    return withVersion(reply, stored.version).send(documentOf(store, kind, stored));
  });

  // Fit records are never changed: a newer one takes their place.
  if (kind !== 'records') {
    app.put<Named>(`${at}/:id`, limit, (request, reply) => {
      const { id } = request.params;
      refuseBuiltIn(kind, id);
      const from = basedOn(request, `${kind}/${id}`);
      const body = bodyOf(request, schema);
      checkAgainstWorkspace(store, kind, body);
      withConflict(body, () => store.replace(id, draftOf(kind, body), from));
      return send(reply, id);
    });
  }

  // There is one document of preferences, always.
  if (kind === 'preferences') return;

  app.post(at, limit, (request, reply) => {
    const body = bodyOf(request, schema);
    checkAgainstWorkspace(store, kind, body);
    const { head, again } = store.create(draftOf(kind, body), { once: onceOf(request), taken });
    return send(reply, head.id, again ? 200 : 201);
  });

  app.post<Named>(`${at}/:id/copies`, limit, (request, reply) => {
    const { id } = request.params;
    const version = basedOn(request, `a copy of ${kind}/${id}`);
    if (!store.get(kind, id)) throw noSuch(kind, id);
    const body = bodyOf(request, schema);
    checkAgainstWorkspace(store, kind, body);
    const { head, again } = store.create(draftOf(kind, body), {
      once: onceOf(request),
      copyOf: { id, version },
      taken,
    });
    return send(reply, head.id, again ? 200 : 201);
  });

  app.delete<Named>(`${at}/:id`, (request, reply) => {
    const { id } = request.params;
    refuseBuiltIn(kind, id);
    withConflict(null, () => store.remove(kind, id, basedOn(request, `${kind}/${id}`)));
    return reply.code(204).send();
  });

  app.post<Named>(`${at}/:id/restore`, (request, reply) => {
    store.restore(kind, request.params.id);
    return send(reply, request.params.id);
  });
}

function refuseBuiltIn(kind: DocumentKind, id: string): void {
  if (kind !== 'materials' || !isBuiltIn(id)) return;
  throw new WorkspaceError('built-in', `${id} is a built-in material.`, {
    where: id,
    hint: 'Store a material of your own with the figures that you trust, and make your stock of that.',
  });
}

export function noSuchVersion(what: string, version: string): WorkspaceError {
  return new WorkspaceError('no-such-version', `${what} has no version "${version.slice(0, 20)}".`, {
    where: 'version',
    hint: 'The list of its versions has every number that was saved.',
  });
}
