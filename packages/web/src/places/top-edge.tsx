import { type ReactElement, useRef, useState } from 'react';
import { downloadPiece, openFile, saveToWorkspace } from '../state/page.ts';
import { chooseTheme, currentTheme, type Theme } from '../state/theme.ts';
import { usePage } from '../state/use-page.ts';

/** The workshop's places, and what can be done with the sheet as a whole. A place is listed once it exists. */
const PLACES = [{ name: 'Pieces', address: '#/pieces' }] as const;

export function TopEdge(): ReactElement {
  const open = usePage((state) => state.open);
  const busy = usePage((state) => state.busy);
  const [theme, setTheme] = useState<Theme>(currentTheme);
  const chooser = useRef<HTMLInputElement>(null);
  const other: Theme = theme === 'paper' ? 'blueprint' : 'paper';
  return (
    <header className="top-edge">
      <span className="brand">Inlaywright</span>
      <nav aria-label="Places of the workshop">
        <ul>
          {PLACES.map((place) => (
            <li key={place.name}>
              <a href={place.address} aria-current="page" onClick={(event) => event.preventDefault()}>
                {place.name}
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
