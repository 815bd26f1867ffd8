/** The page's one client of its own server. */
import { type WorkspaceClient, workspaceClient } from '@inlaywright/formats';

export const workspace: WorkspaceClient = workspaceClient((address, request) => fetch(address, request));

/** A key that makes a repeated request harmless. `crypto.randomUUID` is missing where the page came over plain http from another machine. */
export function newKey(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
