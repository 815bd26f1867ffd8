/**
 * What can go wrong in the server and the workspace, by code: title, HTTP status and exit code of the command line.
 * docs/errors.md lists the same codes; a test holds the two together, and another provokes each of them.
 */
export const CATALOGUE = {
  'foreign-request': { title: 'Not from here', status: 403 },
  'no-such-route': { title: 'Nothing here', status: 404 },
  'no-such-document': { title: 'No such document', status: 404 },
  'piece-missing': { title: 'No such piece', status: 404 },
  'no-such-version': { title: 'No such version', status: 404 },
  deleted: { title: 'It was put aside', status: 410 },
  'version-missing': { title: 'The version is missing', status: 428 },
  'stale-version': { title: 'Somebody saved this in between', status: 412 },
  'body-not-json': { title: 'The request is not JSON', status: 400 },
  'body-invalid': { title: 'Something in it is wrong', status: 422 },
  'query-invalid': { title: 'The address asks for something unknown', status: 400 },
  'reference-missing': { title: 'It names something that is not there', status: 422 },
  'still-used': { title: 'It is still used', status: 409 },
  'laser-refused': { title: 'This material must not go under a laser', status: 422 },
  'built-in': { title: 'Built-in materials cannot be changed', status: 409 },
  'key-invalid': { title: 'The idempotency key cannot be used', status: 400 },
  'key-reused': { title: 'The idempotency key was used for something else', status: 422 },
  'nothing-to-weigh': { title: 'There is nothing to weigh', status: 422 },
  'code-needed': { title: 'Enter the access code first', status: 401 },
  'code-wrong': { title: 'That is not the access code', status: 401 },
  'code-wait': { title: 'Too many wrong codes', status: 429 },
  'not-shared': { title: 'This workspace is not shared', status: 409 },
  'machine-only': { title: 'Only on the machine that serves', status: 403 },
  'no-such-session': { title: 'No such device', status: 404 },
  'request-unreadable': { title: 'The request cannot be read', status: 400 },
  'too-large': { title: 'The file is too large', status: 413 },
  'not-json-type': { title: 'Only JSON is taken', status: 415 },
  'too-many-requests': { title: 'Too many requests', status: 429 },
  'too-many-listeners': { title: 'Too many open pages', status: 503 },
  'workspace-busy': { title: 'The workspace is busy', status: 503 },
  'workspace-full': { title: 'The disk is full', status: 507 },
  'workspace-unwritable': { title: 'The workspace cannot be written', status: 507 },
  'server-failed': { title: 'The server failed', status: 500 },
  'workspace-locked': { title: 'The workspace is open elsewhere', status: 503 },
  'workspace-newer': { title: 'The workspace is of a newer version', status: 500 },
  'workspace-damaged': { title: 'The workspace file is damaged', status: 500 },
  'workspace-missing': { title: 'There is no workspace', status: 500 },
  'workspace-not-empty': { title: 'The workspace is not empty', status: 409 },
  'file-exists': { title: 'The file is there already', status: 409 },
  'backup-invalid': { title: 'This is not a sound backup', status: 422 },
  'export-invalid': { title: 'This is not a sound export', status: 422 },
  'no-network': { title: 'There is no network to share on', status: 500 },
  'page-not-built': { title: 'The page is not built', status: 500 },
  'port-taken': { title: 'The port is taken', status: 500 },
} as const satisfies Record<string, { readonly title: string; readonly status: number }>;

export type ErrorCode = keyof typeof CATALOGUE;

/** Every expected error ends a command with the exit code of bad input. */
export const EXIT_CODE = 2;

export interface ErrorRest {
  /** What the maker can do about it. */
  readonly hint: string;
  /** Place in the refused input. */
  readonly where?: string;
  /** Further members of the problem document. */
  readonly details?: Readonly<Record<string, unknown>>;
}

/** An expected error of server or workspace. The message says what is so, with its values. */
export class WorkspaceError extends Error {
  override readonly name = 'WorkspaceError';
  readonly code: ErrorCode;
  readonly hint: string;
  readonly where: string;
  readonly details: Readonly<Record<string, unknown>>;

  constructor(code: ErrorCode, message: string, rest: ErrorRest) {
    super(message);
    this.code = code;
    this.hint = rest.hint;
    this.where = rest.where ?? '';
    this.details = rest.details ?? {};
  }
}
