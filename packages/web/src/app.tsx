import { type DragEvent, type ReactElement, useEffect, useRef, useState } from 'react';
import { OtherPlace } from './places/other-places.tsx';
import { PieceSheet } from './places/piece-sheet.tsx';
import { Register } from './places/register.tsx';
import { TopEdge } from './places/top-edge.tsx';
import { clearNotice, followAddress, openFile, page, start } from './state/page.ts';
import { holdsUnsaved } from './state/page-state.ts';
import { addressOf, useAddress } from './state/place.ts';
import { usePage } from './state/use-page.ts';
import { readSession, shelf } from './workspace/shelf.ts';
import { useShelf } from './workspace/use-shelf.ts';

/** Lets the browser ask before unsaved pieces are lost. */
function askBeforeLoss(event: BeforeUnloadEvent): void {
  if (holdsUnsaved(page.getState())) event.preventDefault();
}

export function App(): ReactElement {
  const notice = usePage((state) => state.notice);
  const [over, setOver] = useState(false);
  const { place } = useAddress();
  const codeNeeded = useShelf((state) => state.codeNeeded);
  const [arrived, setArrived] = useState(false);
  const atPieces = place === 'pieces' && !codeNeeded;
  useEffect(() => {
    void readSession().then(() => {
      // Who comes in with a phone from beside the laser has results to type in.
      const here = shelf.getState().session;
      const phone = here !== null && !here.local && matchMedia('(max-width: 759px)').matches;
      if (phone && location.hash === '') location.replace(addressOf('fit-book', ['trials']));
      setArrived(true);
    });
  }, []);
  // The register is read when the pieces are first looked at, and not before the server said who may look.
  const reading = useRef(false);
  useEffect(() => {
    if (!atPieces || !arrived || reading.current) return;
    reading.current = true;
    void start();
  }, [atPieces, arrived]);
  useEffect(() => {
    addEventListener('popstate', followAddress);
    addEventListener('hashchange', followAddress);
    addEventListener('beforeunload', askBeforeLoss);
    return () => {
      removeEventListener('beforeunload', askBeforeLoss);
      removeEventListener('popstate', followAddress);
      removeEventListener('hashchange', followAddress);
    };
  }, []);

  const carriesFile = (event: DragEvent): boolean => atPieces && event.dataTransfer.types.includes('Files');
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
      {codeNeeded ? (
        <OtherPlace place="sign-in" />
      ) : atPieces ? (
        <>
          <Register />
          <PieceSheet />
        </>
      ) : (
        <OtherPlace place={place} />
      )}
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
