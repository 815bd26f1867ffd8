import { WorkspaceError } from '../errors.ts';
import type { Stored } from '../storage/store.ts';

/**
 * Runs a save; where it comes too late, the refusal carries both sides: what was sent, and what the workspace has.
 * @param mine the body of the save; the text of a piece file for pieces
 */
export function withConflict<T>(mine: unknown, save: () => T): T {
  try {
    return save();
  } catch (error) {
    if (!(error instanceof WorkspaceError) || error.code !== 'stale-version') throw error;
    const { current, base } = error.details as { current: Stored; base: number };
    const { kind, id, version, savedAt, deletedAt, content } = current;
    throw new WorkspaceError('stale-version', error.message, {
      hint: error.hint,
      details: {
        kind,
        id,
        base,
        mine,
        theirs: {
          version,
          savedAt,
          deletedAt,
          content: kind === 'pieces' ? content : JSON.parse(content),
        },
      },
    });
  }
}
