import type { Problem, SessionList, Share } from '@inlaywright/formats';
import { type ReactElement, useCallback, useEffect, useState } from 'react';
import { workspace } from '../../workspace/client.ts';
import { readSession } from '../../workspace/shelf.ts';
import { useShelf } from '../../workspace/use-shelf.ts';
import { ProblemNote } from '../problem-note.tsx';
import { QrPicture } from './qr-picture.tsx';
import '../../styles/book.css';

/** Phones and tablets of the workshop: how they come in, and who is in. */
export function Devices(): ReactElement {
  const session = useShelf((state) => state.session);
  return (
    <main className="sheet list-sheet devices">
      <div className="list-head">
        <h1>Devices</h1>
        <p className="hint">
          The tablet at the laser, the phone beside the calipers: all see the same workspace.
        </p>
      </div>
      {session === null ? (
        <p className="hint" role="status">
          Asking …
        </p>
      ) : session.local ? (
        <OnTheServingMachine />
      ) : (
        <OnAnotherDevice />
      )}
    </main>
  );
}

function OnAnotherDevice(): ReactElement {
  const [problem, setProblem] = useState<Problem | null>(null);
  const leave = async (): Promise<void> => {
    const answer = await workspace.signOut();
    if (answer.ok) void readSession();
    else setProblem(answer.problem);
  };
  return (
    <div>
      {problem && <ProblemNote problem={problem} />}
      <p>This device is in. Code and list of devices are shown on the machine where the program runs.</p>
      <p>
        <button type="button" onClick={() => void leave()}>
          Sign this device out
        </button>
      </p>
    </div>
  );
}

function OnTheServingMachine(): ReactElement {
  const [share, setShare] = useState<Share | null>(null);
  const [sessions, setSessions] = useState<SessionList['sessions']>([]);
  const [problem, setProblem] = useState<Problem | null>(null);
  const read = useCallback(async (): Promise<void> => {
    const [shared, listed] = await Promise.all([workspace.share(), workspace.sessions()]);
    if (shared.ok) setShare(shared.value);
    else setProblem(shared.problem);
    if (listed.ok) setSessions(listed.value.sessions);
  }, []);
  useEffect(() => {
    void read();
    // Nothing tells when a device comes in: looking now and then does.
    const timer = setInterval(() => void read(), 5000);
    return () => clearInterval(timer);
  }, [read]);
  const turnAway = async (id: string): Promise<void> => {
    const answer = await workspace.revoke(id);
    if (!answer.ok) setProblem(answer.problem);
    await read();
  };
  return (
    <>
      {problem && <ProblemNote problem={problem} />}
      {share && !share.shared && (
        <div className="devices-how">
          <p>This workspace is open on this machine only. To let other devices of the workshop in:</p>
          <ol className="numbered">
            <li>Stop the program in its terminal with Ctrl+C.</li>
            <li>
              Start it again with <code>npm start -- --share</code>.
            </li>
            <li>Come back here: address, code and QR code stand in this place.</li>
          </ol>
          <p className="hint">
            Only in a network that you trust: what goes over it is not encrypted, and who has the code may
            change everything.
          </p>
        </div>
      )}
      {share?.shared && share.qrSvg !== null && (
        <div className="devices-share">
          <QrPicture svg={share.qrSvg} />
          <div>
            <p>Point the phone’s camera at the code, or open</p>
            {share.addresses.map((address) => (
              <p key={address} className="devices-address figures">
                {address}
              </p>
            ))}
            <p>and enter</p>
            <p className="devices-code figures">{share.code}</p>
            <p className="hint">
              A new start makes a new code; devices that are in stay in for 30 days. What goes over the
              network is not encrypted.
            </p>
          </div>
        </div>
      )}
      <section aria-labelledby="devices-title">
        <h2 id="devices-title">Devices that are in</h2>
        {sessions.length === 0 ? (
          <p className="hint">None but this machine.</p>
        ) : (
          <ul className="device-list">
            {sessions.map(({ id, device, createdAt, lastSeenAt }) => (
              <li key={id}>
                <span>
                  <strong>{device || 'Unnamed device'}</strong>
                  <small>{`in since ${when(createdAt)}, last seen ${when(lastSeenAt)}`}</small>
                </span>
                <button type="button" onClick={() => void turnAway(id)}>
                  Turn away
                </button>
              </li>
            ))}
          </ul>
        )}
      </section>
    </>
  );
}

function when(iso: string): string {
  return new Date(iso).toLocaleString([], { dateStyle: 'medium', timeStyle: 'short' });
}
