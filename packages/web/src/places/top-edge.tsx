import { type ReactElement, useRef, useState } from 'react';
import { downloadPiece, openFile, saveToWorkspace } from '../state/page.ts';
import { addressOf, PLACES, useAddress } from '../state/place.ts';
import { chooseTheme, currentTheme, type Theme } from '../state/theme.ts';
import { usePage } from '../state/use-page.ts';

/** The workshop's places, and what can be done with the sheet as a whole. */
export function TopEdge(): ReactElement {
  const open = usePage((state) => state.open);
  const busy = usePage((state) => state.busy);
  const { place } = useAddress();
  const [theme, setTheme] = useState<Theme>(currentTheme);
  const chooser = useRef<HTMLInputElement>(null);
  const other: Theme = theme === 'paper' ? 'blueprint' : 'paper';
  return (
    <header className="top-edge">
      <span className="brand">Inlaywright</span>
      <nav aria-label="Places of the workshop">
        <ul>
          {PLACES.map(({ id, name }) => (
            <li key={id}>
              <a
                href={addressOf(id, id === 'pieces' && open?.entry ? [open.entry.id] : [])}
                aria-current={id === place ? 'page' : undefined}
              >
                {name}
              </a>
            </li>
          ))}
        </ul>
      </nav>
      <div className="top-actions">
        <input
          ref={chooser}
          className="unseen"
          type="file"
          accept=".svg,.json,image/svg+xml,application/json"
          aria-label="File to open"
          tabIndex={-1}
          onChange={(event) => {
            const file = event.target.files?.[0];
            event.target.value = '';
            if (file) void openFile(file);
          }}
        />
        {place === 'pieces' && (
          <>
            <button type="button" onClick={() => chooser.current?.click()}>
              Open a file
            </button>
            <button
              type="button"
              disabled={!open?.unsaved || busy !== null}
              onClick={() => void saveToWorkspace()}
            >
              {busy === 'saving' ? 'Saving \u2026' : 'Save'}
            </button>
            <button type="button" disabled={!open} onClick={() => void downloadPiece()}>
              Save as a file
            </button>
          </>
        )}
        <a
          className="button"
          href={addressOf('devices')}
          aria-current={place === 'devices' ? 'page' : undefined}
        >
          Devices
        </a>
        <button
          type="button"
          onClick={() => {
            chooseTheme(other);
            setTheme(other);
          }}
        >
          {other === 'paper' ? 'Paper' : 'Blueprint'}
        </button>
      </div>
    </header>
  );
}
