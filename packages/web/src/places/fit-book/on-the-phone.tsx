import type { Share } from '@inlaywright/formats';
import { type ReactElement, useEffect, useState } from 'react';
import { addressOf } from '../../state/place.ts';
import { workspace } from '../../workspace/client.ts';
import { useShelf } from '../../workspace/use-shelf.ts';
import { QrPicture } from '../devices/qr-picture.tsx';

/** How a phone beside the laser comes to this trial. */
export function OnThePhone(props: {
  readonly trial: string;
  /** Shown at once: the trial waits for results. */
  readonly atOnce: boolean;
}): ReactElement | null {
  const { trial, atOnce } = props;
  const local = useShelf((state) => state.session?.local ?? false);
  const [open, setOpen] = useState(atOnce);
  const [share, setShare] = useState<Share | null>(null);
  useEffect(() => {
    if (!open) return;
    void workspace.share().then((answer) => {
      if (answer.ok) setShare(answer.value);
    });
  }, [open]);
  if (!local) return null;
  return (
    <details className="on-the-phone" open={open} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>On a phone beside the laser</summary>
      {share?.shared && share.qrSvg !== null ? (
        <>
          <QrPicture svg={share.qrSvg} />
          <p>
            {`Point the phone’s camera here, or open ${share.addresses[0]} and enter ${share.code}. `}
            {'Then: Fit book, Trials, this trial.'}
          </p>
          <p className="hint figures">
            {`Once in, this trial is at ${share.addresses[0]}${addressOf('fit-book', ['trials', trial, 'results'])}`}
          </p>
        </>
      ) : (
        <p>
          {share
            ? 'This workspace is open on this machine only. Stop the program and start it with --share; see Devices.'
            : 'Asking …'}
        </p>
      )}
    </details>
  );
}
