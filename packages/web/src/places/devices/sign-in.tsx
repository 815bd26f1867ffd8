import type { ReactElement } from 'react';

/** For a device that was turned away, or whose time ran out: the code is entered on a page of its own. */
export function SignIn(): ReactElement {
  return (
    <main className="sheet sheet-empty">
      <div className="empty">
        <h1>Enter the access code</h1>
        <p>
          This device has not entered the code of the workshop yet, or was turned away. What you typed here is
          kept on the device, and is sent once you are in.
        </p>
        <p>
          <a className="button primary" href="/enter">
            Enter the code
          </a>
        </p>
      </div>
    </main>
  );
}
