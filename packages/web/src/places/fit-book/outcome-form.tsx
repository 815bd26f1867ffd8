import { type OutcomeBody, type Problem, SEAM_OUTCOMES } from '@inlaywright/formats';
import { GRADES } from '@inlaywright/workshop';
import { type ReactElement, useMemo, useState } from 'react';
import { Choice } from '../../controls/choice.tsx';
import { addressOf, goTo } from '../../state/place.ts';
import { newKey, workspace } from '../../workspace/client.ts';
import { saved } from '../../workspace/shelf.ts';
import { today } from '../../workspace/trial-desk.ts';
import { useDocuments } from '../../workspace/use-shelf.ts';
import { ProblemNote } from '../problem-note.tsx';
import { useNames } from './names.ts';
import { GRADE_TEST } from './views/grade-patterns.tsx';

type Outcome = OutcomeBody['seams'][number]['outcome'];

interface Draft {
  readonly how: 'sums' | 'grades';
  readonly counts: Readonly<Partial<Record<Outcome, number>>>;
  readonly date: string;
  readonly turned: boolean;
  readonly notes: string;
  /** Makes a repeated save of the same draft harmless. */
  readonly key: string;
}

const SUMS: readonly { readonly outcome: Outcome; readonly label: string; readonly test: string }[] = [
  { outcome: 'good', label: 'good', test: 'pressed home, and holds' },
  { outcome: 'loose', label: 'loose', test: 'did not hold by itself' },
  { outcome: 'too tight', label: 'too tight', test: 'would not go, or something broke' },
];
const BY_GRADE = GRADES.map((outcome) => ({
  outcome: outcome as Outcome,
  label: outcome,
  test: GRADE_TEST[outcome],
}));
const LARGEST = 100_000;

/** How a real batch went together: in sums, or by grade seam after seam. Kept in this browser until it is saved. */
export function OutcomeForm({ id }: { readonly id: string }): ReactElement {
  const record = useDocuments('records')?.find((one) => one.id === id);
  const names = useNames();
  const [draft, setDraft] = useState<Draft>(() => readDraft(id));
  const [problem, setProblem] = useState<Problem | null>(null);
  const [busy, setBusy] = useState(false);
  const rows = draft.how === 'sums' ? SUMS : BY_GRADE;
  const seams = useMemo(
    () =>
      SEAM_OUTCOMES.filter((outcome) => rows.some((row) => row.outcome === outcome)).flatMap((outcome) => {
        const count = draft.counts[outcome] ?? 0;
        return count > 0 ? [{ outcome, count }] : [];
      }),
    [draft.counts, rows],
  );
  const total = seams.reduce((sum, { count }) => sum + count, 0);
  if (!record) {
    return (
      <main className="sheet results">
        <p className="hint" role="status">
          Reading the record …
        </p>
      </main>
    );
  }
  const change = (part: Partial<Draft>): void => {
    const next = { ...draft, key: newKey(), ...part };
    setDraft(next);
    writeDraft(id, next);
  };
  const count = (outcome: Outcome, value: number): void =>
    change({
      counts: { ...draft.counts, [outcome]: Math.max(0, Math.min(LARGEST, Math.round(value) || 0)) },
    });

  const save = async (): Promise<void> => {
    setBusy(true);
    setProblem(null);
    const { body } = record;
    const outcome = await saved(
      workspace.create(
        'outcomes',
        {
          name: `${names.stock(body.stock)}, ${draft.date}`,
          record: id,
          date: draft.date,
          turned: draft.turned,
          seams,
          notes: draft.notes,
        },
        { key: draft.key },
      ),
    );
    if (!outcome.ok) {
      setBusy(false);
      setProblem(outcome.problem);
      return;
    }
    const { machine, stock, setting, grade } = body;
    const weighed = await saved(
      workspace.weigh({ machine, stock, setting, grade }, { key: `${draft.key}-weigh` }),
    );
    setBusy(false);
    if (!weighed.ok) {
      setProblem(weighed.problem);
      return;
    }
    dropDraft(id);
    goTo(addressOf('fit-book', ['records', weighed.value.id]));
  };
  return (
    <main className="sheet results outcome">
      <header className="results-head">
        <a href={addressOf('fit-book', ['records', id])}>‹ Record</a>
        <h1>How did the batch go together?</h1>
        <p className="hint">{names.all(record.body)}</p>
      </header>
      {problem && <ProblemNote problem={problem} onAgain={() => void save()} />}
      <Choice
        label="Counted"
        shape="row"
        value={draft.how}
        options={[
          { value: 'sums', label: 'in sums' },
          { value: 'grades', label: 'by grade, seam by seam' },
        ]}
        onChange={(how) => change({ how })}
      />
      <ul className="counts">
        {rows.map(({ outcome, label, test }, index) => {
          const value = draft.counts[outcome] ?? 0;
          return (
            <li key={outcome}>
              <span id={`count-${index}`}>
                {label}
                <small>{test}</small>
              </span>
              <button
                type="button"
                aria-label={`One less: ${label}`}
                disabled={value === 0}
                onClick={() => count(outcome, value - 1)}
              >
                −
              </button>
              <input
                type="text"
                inputMode="numeric"
                aria-labelledby={`count-${index}`}
                value={String(value)}
                onFocus={(event) => event.target.select()}
                onChange={(event) => count(outcome, Number(event.target.value.replace(/\D/g, '')))}
              />
              <button
                type="button"
                aria-label={`One more: ${label}`}
                onClick={() => count(outcome, value + 1)}
              >
                +
              </button>
            </li>
          );
        })}
      </ul>
      <p className="hint">
        {`${total} ${total === 1 ? 'seam' : 'seams'}. Seams of one batch share a board and a day: together they count as 12 at most.`}
      </p>
      <label className="field-row">
        <span>Day of the assembly</span>
        <input
          type="date"
          value={draft.date}
          onChange={(event) => change({ date: event.target.value || today() })}
        />
      </label>
      <label className="choice-option">
        <input
          type="checkbox"
          checked={draft.turned}
          onChange={(event) => change({ turned: event.target.checked })}
        />
        <span>The inlays were turned over, as usual</span>
      </label>
      <label className="field-column">
        <span>Notes</span>
        <textarea
          rows={3}
          maxLength={10_000}
          value={draft.notes}
          onChange={(event) => change({ notes: event.target.value })}
        />
      </label>
      <nav className="results-foot" aria-label="End of the form">
        <button type="button" className="primary" disabled={busy || total === 0} onClick={() => void save()}>
          {busy ? 'Weighing …' : 'Save, and weigh it in'}
        </button>
      </nav>
    </main>
  );
}

const STORE = 'inlaywright.outcome.';

function readDraft(id: string): Draft {
  const fresh: Draft = { how: 'sums', counts: {}, date: today(), turned: true, notes: '', key: newKey() };
  try {
    const text = localStorage.getItem(STORE + id);
    return text === null ? fresh : { ...fresh, ...(JSON.parse(text) as Partial<Draft>) };
  } catch {
    return fresh;
  }
}

function writeDraft(id: string, draft: Draft): void {
  try {
    localStorage.setItem(STORE + id, JSON.stringify(draft));
  } catch {
    // Storage may be off or full: the form then lasts as long as the page.
  }
}

function dropDraft(id: string): void {
  try {
    localStorage.removeItem(STORE + id);
  } catch {
    // Nothing was kept then.
  }
}
