export { type AppOptions, BODY_LIMIT_BYTES, createApp } from './app.ts';
export { type Running, type ServeOptions, serve } from './serve.ts';
export {
  openWorkspace,
  type Saved,
  type StoredPiece,
  type Workspace,
  type WorkspaceFolders,
} from './workspace.ts';
export { writeFileAtomically } from './write-file.ts';
