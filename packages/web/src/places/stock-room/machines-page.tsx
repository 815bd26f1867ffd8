import type { Document } from '@inlaywright/formats';
import { type ReactElement, useState } from 'react';
import { addressOf, goTo } from '../../state/place.ts';
import { useDocuments } from '../../workspace/use-shelf.ts';
import { BedPicture } from './bed-picture.tsx';
import { MachineForm } from './machine-form.tsx';
import { SettingForm } from './setting-form.tsx';

/** The machines, how they move, and the settings that are dialled in on each. */
export function MachinesPage(props: {
  readonly id: string | undefined;
  readonly setting: string | undefined;
}): ReactElement {
  const machines = useDocuments('machines');
  const settings = useDocuments('settings');
  const isNew = props.id === 'new';
  const open = isNew ? undefined : (machines?.find(({ id }) => id === props.id) ?? machines?.[0]);
  return (
    <main className="sheet room-sheet">
      <section className="room-list" aria-labelledby="machines-title">
        <div className="room-list-head">
          <h1 id="machines-title">Machines</h1>
          <a className="button" href={addressOf('stock-room', ['machines', 'new'])}>
            New machine
          </a>
        </div>
        {machines === null ? (
          <p className="hint" role="status">
            Reading the machines …
          </p>
        ) : (
          <ul className="room-lines">
            {machines.map(({ id, body }) => {
              const count = (settings ?? []).filter((one) => one.body.machine === id).length;
              return (
                <li key={id}>
                  <a
                    className="room-line"
                    href={addressOf('stock-room', ['machines', id])}
                    aria-current={id === open?.id ? 'true' : undefined}
                  >
                    <span>
                      <strong>{body.name}</strong>
                      <em>{body.source}</em>
                    </span>
                    <span className="room-line-more">
                      <span className="figures">{`${body.bedWidthMm} × ${body.bedHeightMm}`}</span>
                      <small>{count === 1 ? '1 setting' : `${count} settings`}</small>
                    </span>
                  </a>
                </li>
              );
            })}
          </ul>
        )}
      </section>
      <div className="room-detail">
        {isNew ? (
          <MachineForm
            key="new"
            document={null}
            onSaved={(saved) => goTo(addressOf('stock-room', ['machines', saved.id]))}
          />
        ) : open ? (
          <MachineDetail
            key={open.id}
            machine={open}
            settings={(settings ?? []).filter(({ body }) => body.machine === open.id)}
            setting={props.setting}
          />
        ) : (
          machines !== null && (
            <div className="empty">
              <h2>No machine yet</h2>
              <p>Enter yours: how large its bed is, and, if you know it, how it moves.</p>
            </div>
          )
        )}
      </div>
    </main>
  );
}

function MachineDetail(props: {
  readonly machine: Document<'machines'>;
  readonly settings: readonly Document<'settings'>[];
  readonly setting: string | undefined;
}): ReactElement {
  const { machine, settings } = props;
  const [editing, setEditing] = useState(false);
  const { body } = machine;
  const setting = props.setting === 'new' ? null : settings.find(({ id }) => id === props.setting);
  const back = (): void => goTo(addressOf('stock-room', ['machines', machine.id]));
  if (editing) {
    return (
      <MachineForm
        document={machine}
        onSaved={() => setEditing(false)}
        onGone={() => goTo(addressOf('stock-room', ['machines']))}
      />
    );
  }
  return (
    <article className="machine">
      <header className="room-head">
        <div>
          <h2>{body.name}</h2>
          <p className="hint">{[body.source, body.axisNotes, body.notes].filter(Boolean).join(' · ')}</p>
        </div>
        <p className="room-head-actions">
          <button type="button" onClick={() => setEditing(true)}>
            Change
          </button>
        </p>
      </header>
      <BedPicture widthMm={body.bedWidthMm} heightMm={body.bedHeightMm} />
      <p>
        {body.motion
          ? `Moves at up to ${body.motion.travelMmPerS} mm/s, ${body.motion.accelerationMmPerS2} mm/s², cuts corners by ${body.motion.cornerDeviationMm} mm, waits ${body.motion.pierceS} s before each cut.`
          : 'Nobody entered how it moves: cut times are reckoned with typical values.'}
      </p>
      <div className="room-list-head">
        <h3>Settings</h3>
        <a className="button" href={addressOf('stock-room', ['machines', machine.id], { setting: 'new' })}>
          New setting
        </a>
      </div>
      <p className="hint">Another power, speed, lens or air is another setting, and another fit record.</p>
      {settings.length > 0 && (
        <div className="scroll-x">
          <table className="plain-table">
            <thead>
              <tr>
                <th scope="col">Name</th>
                <th scope="col">Power, %</th>
                <th scope="col">Speed, mm/s</th>
                <th scope="col">Passes</th>
                <th scope="col">Lens, air</th>
              </tr>
            </thead>
            <tbody>
              {settings.map(({ id, body: one }) => (
                <tr key={id}>
                  <th scope="row">
                    <a href={addressOf('stock-room', ['machines', machine.id], { setting: id })}>
                      {one.name}
                    </a>
                  </th>
                  <td>{one.powerPercent}</td>
                  <td>{one.speedMmPerS}</td>
                  <td>{one.passes}</td>
                  <td>{[one.lens, one.air && `air ${one.air}`].filter(Boolean).join(', ')}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      {setting !== undefined && (
        <SettingForm
          key={setting?.id ?? 'new'}
          machine={machine.id}
          document={setting}
          onSaved={back}
          onGone={back}
        />
      )}
    </article>
  );
}
