import { FormatError } from '@inlaywright/formats';
import { GeometryError } from '@inlaywright/geometry';
import { storageTrouble, WorkspaceError } from '@inlaywright/server';
import { WorkshopError } from '@inlaywright/workshop';

/** Exit codes of every command. */
export const EXIT = {
  /** Made, nothing to decide. */
  made: 0,
  /** Made, with findings that need the maker's decision. */
  decide: 1,
  /** Bad input or options; nothing was written. */
  badInput: 2,
} as const;

/** Input or options that cannot be used. Says what, where and what to do. */
export class InputError extends Error {
  readonly where: string;
  readonly hint: string;
  constructor(message: string, where: string, hint: string) {
    super(message);
    this.name = 'InputError';
    this.where = where;
    this.hint = hint;
  }
}

/** An expected error in three lines, or undefined for one that is a bug of ours. */
export function explain(error: unknown): string | undefined {
  if (error instanceof InputError || error instanceof FormatError || error instanceof WorkspaceError) {
    return lines(error.message, error.where, error.hint);
  }
  if (error instanceof WorkshopError) return lines(error.message, '', error.hint);
  if (error instanceof GeometryError) return lines(error.message, '', '');
  const system = error as NodeJS.ErrnoException;
  if (system?.code === 'ENOENT')
    return lines(`There is no ${system.path}.`, '', 'Check the name and the folder.');
  if (system?.code === 'EACCES' || system?.code === 'EPERM') {
    return lines(`No permission for ${system.path}.`, '', 'Choose a folder that you may write to.');
  }
  if (system?.code === 'ENOSPC')
    return lines('The disk is full.', '', 'Free some space and run the command again.');
  if (system?.code === 'ENOTDIR') {
    return lines(`There is no ${system.path}: something in its path is a file.`, '', 'Check the name.');
  }
  if (system?.code === 'EROFS') {
    return lines(
      `${system.path} is on a disk that can only be read.`,
      '',
      'Choose a folder that you may write to.',
    );
  }
  const storage = storageTrouble(error);
  return storage && lines(storage.message, storage.where, storage.hint);
}

function lines(what: string, where: string, todo: string): string {
  return [`inlaywright: ${what}`, where && `  where: ${where}`, todo && `  to do: ${todo}`]
    .filter(Boolean)
    .join('\n');
}
