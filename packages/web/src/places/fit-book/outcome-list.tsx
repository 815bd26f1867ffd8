import type { Document, OutcomeBody } from '@inlaywright/formats';
import type { ReactElement } from 'react';
import { addressOf } from '../../state/place.ts';
import { useDocuments } from '../../workspace/use-shelf.ts';

/** How real batches went together, and where the next is told. */
export function OutcomeList(props: {
  readonly record: Document<'records'>;
  /** All records of the same machine, stock and setting. */
  readonly line: readonly Document<'records'>[];
}): ReactElement {
  const { record, line } = props;
  const outcomes = useDocuments('outcomes');
  const ids = new Set(line.map(({ id }) => id));
  const shown = (outcomes ?? [])
    .filter(({ body }) => ids.has(body.record))
    .sort((a, b) => (a.body.date < b.body.date ? 1 : -1));
  return (
    <section aria-labelledby="outcomes-title">
      <h2 id="outcomes-title">After real batches</h2>
      {shown.length === 0 && (
        <p className="hint">None told yet. Each batch you tell makes the record better, without a coupon.</p>
      )}
      <ul className="plain-list">
        {shown.map(({ id, body }) => (
          <li key={id}>{`${body.date}: ${seamWords(body.seams)}`}</li>
        ))}
      </ul>
      {record.supersededBy == null && (
        <p>
          <a className="button" href={addressOf('fit-book', ['records', record.id, 'batch'])}>
            Tell how a batch went
          </a>
        </p>
      )}
    </section>
  );
}

/** `14 good, 2 loose` */
export function seamWords(seams: OutcomeBody['seams']): string {
  return (
    seams
      .filter(({ count }) => count > 0)
      .map(({ outcome, count }) => `${count} ${outcome}`)
      .join(', ') || 'nothing counted'
  );
}
