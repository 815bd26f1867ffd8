import type { Conflict, Document, DocumentKind, DraftOf, Problem } from '@inlaywright/formats';
import { type FormEvent, type ReactElement, type ReactNode, useMemo, useState } from 'react';
import { newKey, workspace } from '../../workspace/client.ts';
import { keep, putAside, saved } from '../../workspace/shelf.ts';
import { ProblemNote } from '../problem-note.tsx';

export interface DocumentFormProps<K extends DocumentKind> {
  readonly kind: K;
  /** What is changed; null for a new one. */
  readonly document: Document<K> | null;
  readonly draft: DraftOf<K>;
  /** Something in the form cannot be taken yet. */
  readonly blocked?: boolean;
  readonly title: string;
  readonly onSaved: (document: Document<K>) => void;
  readonly onGone?: () => void;
  readonly children: ReactNode;
}

/** A form whose content is saved as one document: told when another device saved it in between, with both at hand. */
export function DocumentForm<K extends DocumentKind>(props: DocumentFormProps<K>): ReactElement {
  const { kind, document, title } = props;
  const draft = withoutEmpty(props.draft);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [conflict, setConflict] = useState<Conflict | null>(null);
  const [busy, setBusy] = useState(false);
  /** Version that the form grew from: what comes from other devices while it is open must not slip under it. */
  const [basedOn, setBasedOn] = useState(document?.version ?? 0);
  const text = JSON.stringify(draft);
  // biome-ignore lint/correctness/useExhaustiveDependencies: another content needs another key
  const key = useMemo(() => newKey(), [text]);

  const save = async (from: number): Promise<void> => {
    setBusy(true);
    setProblem(null);
    setConflict(null);
    const answer = await saved(
      document ? workspace.replace(kind, document.id, from, draft) : workspace.create(kind, draft, { key }),
    );
    setBusy(false);
    if (answer.ok) {
      setBasedOn(answer.value.version);
      props.onSaved(answer.value);
    } else if (answer.conflict) setConflict(answer.conflict);
    else setProblem(answer.problem);
  };
  const takeTheirs = async (): Promise<void> => {
    if (!document) return;
    const answer = await workspace.get(kind, document.id);
    if (answer.ok) {
      keep(answer.value);
      props.onSaved(answer.value);
    } else setProblem(answer.problem);
  };
  const copy = async (): Promise<void> => {
    if (!document) return;
    const answer = await saved(workspace.copy(kind, document.id, basedOn, draft, { key }));
    if (answer.ok) props.onSaved(answer.value);
    else setProblem(answer.problem);
  };
  const remove = async (): Promise<void> => {
    if (!document) return;
    const gone = await putAside(document);
    if (gone.ok) props.onGone?.();
    else setProblem(gone.problem);
  };
  return (
    <form
      className="document-form"
      aria-label={title}
      onSubmit={(event: FormEvent) => {
        event.preventDefault();
        void save(basedOn);
      }}
    >
      <h2>{title}</h2>
      {props.children}
      {problem && <ProblemNote problem={problem} />}
      {conflict && (
        <div className="two-versions" role="alert">
          <h3>Another device saved this in between</h3>
          <p>{`Theirs is version ${conflict.theirs.version}. Yours is still here in the form; nothing is lost.`}</p>
          <div className="choices">
            <button type="button" className="primary" onClick={() => void save(conflict.theirs.version)}>
              Save mine on top
            </button>
            <button type="button" onClick={() => void takeTheirs()}>
              Take theirs
            </button>
            <button type="button" onClick={() => void copy()}>
              Save mine beside it
            </button>
          </div>
        </div>
      )}
      <p className="form-actions">
        <button type="submit" className="primary" disabled={busy || props.blocked === true}>
          {busy ? 'Saving …' : 'Save'}
        </button>
        {document && props.onGone && (
          <button type="button" disabled={busy} onClick={() => void remove()}>
            Put aside
          </button>
        )}
      </p>
    </form>
  );
}

/** Fields that are empty are left out rather than sent as nothing. */
function withoutEmpty<T extends object>(draft: T): T {
  return Object.fromEntries(Object.entries(draft).filter(([, value]) => value !== undefined)) as T;
}
