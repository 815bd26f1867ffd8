import { type DragEvent, type ReactElement, useEffect, useState } from 'react';
import { PieceSheet } from './places/piece-sheet.tsx';
import { Register } from './places/register.tsx';
import { TopEdge } from './places/top-edge.tsx';
import { clearNotice, followAddress, openFile, page, start } from './state/page.ts';
import { holdsUnsaved } from './state/page-state.ts';
import { usePage } from './state/use-page.ts';

/** Lets the browser ask before unsaved pieces are lost. */
function askBeforeLoss(event: BeforeUnloadEvent): void {
  if (holdsUnsaved(page.getState())) event.preventDefault();
}

export function App(): ReactElement {
  const notice = usePage((state) => state.notice);
  const [over, setOver] = useState(false);
  useEffect(() => {
    void start();
    addEventListener('popstate', followAddress);
    addEventListener('hashchange', followAddress);
    addEventListener('beforeunload', askBeforeLoss);
    return () => {
      removeEventListener('beforeunload', askBeforeLoss);
      removeEventListener('popstate', followAddress);
      removeEventListener('hashchange', followAddress);
    };
  }, []);

  const carriesFile = (event: DragEvent): boolean => event.dataTransfer.types.includes('Files');
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: dropping is a second way; "Open a file" is the one for everybody
    <div
      className={`page${over ? ' is-over' : ''}`}
      onDragOver={(event) => {
        if (!carriesFile(event)) return;
        event.preventDefault();
        setOver(true);
      }}
      onDragLeave={(event) => {
        if (event.currentTarget === event.target) setOver(false);
      }}
      onDrop={(event) => {
        if (!carriesFile(event)) return;
        event.preventDefault();
        setOver(false);
        const file = event.dataTransfer.files[0];
        if (file) void openFile(file);
      }}
    >
      <TopEdge />
      <Register />
      <PieceSheet />
      <div className="notice" role="status">
        {notice !== '' && (
          <>
            <p>{notice}</p>
            <button type="button" onClick={clearNotice}>
              Put away
            </button>
          </>
        )}
      </div>
      {over && (
        <div className="drop-here" aria-hidden="true">
          Let go to open the file
        </div>
      )}
    </div>
  );
}
