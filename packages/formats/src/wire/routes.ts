import { ALL_KINDS, type Kind } from './document.ts';

/** One thing that can be asked of the server; docs/server.md describes each. */
export interface Route {
  readonly method: 'GET' | 'POST' | 'PUT' | 'DELETE';
  /** `:id` and `:version` stand for what the address names. */
  readonly path: string;
  readonly what: string;
  /** Who may ask: everybody, devices that entered the code and the serving machine, or the serving machine only. */
  readonly who: 'everybody' | 'members' | 'machine';
}

const route = (
  method: Route['method'],
  path: string,
  what: string,
  who: Route['who'] = 'members',
): Route => ({ method, path, what, who });

/** What every kind of the workspace answers to, pieces included. */
export function kindRoutes(kind: Kind): readonly Route[] {
  const at = `/api/${kind}`;
  const history = [
    route('GET', `${at}/:id/versions`, 'list its saved versions'),
    route('GET', `${at}/:id/versions/:version`, 'read one saved version'),
  ];
  // There is always one document of preferences, and never another.
  if (kind === 'preferences') {
    return [
      route('GET', at, `list ${kind}`),
      route('GET', `${at}/:id`, 'read the newest version'),
      route('PUT', `${at}/:id`, 'save the next version'),
      ...history,
    ];
  }
  return [
    route('GET', at, `list ${kind}`),
    route('POST', at, 'store a new one'),
    route('GET', `${at}/:id`, 'read the newest version'),
    ...(kind === 'records' ? [] : [route('PUT', `${at}/:id`, 'save the next version')]),
    route('DELETE', `${at}/:id`, 'put it aside; it can be restored'),
    route('POST', `${at}/:id/restore`, 'take back what was put aside'),
    route('POST', `${at}/:id/copies`, 'store a save as a document of its own'),
    ...history,
  ];
}

/** Every route of the interface. */
export const ROUTES: readonly Route[] = [
  route('GET', '/api/health', 'name and version of the program', 'everybody'),
  route('GET', '/api/session', 'who is asking', 'everybody'),
  route('POST', '/api/session', 'enter the access code', 'everybody'),
  route('DELETE', '/api/session', 'sign this device out'),
  route('GET', '/api/sessions', 'list the devices that entered the code', 'machine'),
  route('DELETE', '/api/sessions/:id', 'turn a device away', 'machine'),
  route('GET', '/api/share', 'addresses, code and QR code for other devices', 'machine'),
  route('GET', '/api/changes', 'stream of saved changes (server-sent events)'),
  route('GET', '/api/material-table', 'built-in and own materials, with what the laser makes of them'),
  ...ALL_KINDS.flatMap(kindRoutes),
  route('POST', '/api/coupons', 'draw a coupon: sheet files, trial file, cut time'),
  route('POST', '/api/fit/judge', 'weigh a trial without storing anything'),
  route('POST', '/api/fit/records', 'weigh stored trials and outcomes, and store the record'),
  route('GET', '/api/fit/record', 'the record in force for a machine, stock and setting'),
];
