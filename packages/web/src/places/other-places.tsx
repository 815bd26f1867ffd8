import { Component, lazy, type ReactElement, type ReactNode, Suspense } from 'react';
import type { PlaceId } from '../state/place.ts';
// Not loaded later: a device that was turned away gets no more scripts.
import { SignIn } from './devices/sign-in.tsx';

const FitBook = lazy(async () => ({ default: (await import('./fit-book/fit-book.tsx')).FitBook }));
const StockRoom = lazy(async () => ({ default: (await import('./stock-room/stock-room.tsx')).StockRoom }));
const Devices = lazy(async () => ({ default: (await import('./devices/devices.tsx')).Devices }));

/** The places that are loaded when they are entered. */
export function OtherPlace({ place }: { readonly place: PlaceId | 'sign-in' }): ReactElement {
  return (
    <Loading>
      <Suspense
        fallback={
          <main className="sheet sheet-empty">
            <p className="hint" role="status">
              Opening …
            </p>
          </main>
        }
      >
        {place === 'fit-book' && <FitBook />}
        {place === 'stock-room' && <StockRoom />}
        {place === 'devices' && <Devices />}
        {place === 'sign-in' && <SignIn />}
      </Suspense>
    </Loading>
  );
}

/** Says what to do where the script of a place cannot be loaded: the server stopped, or is of a newer version. */
class Loading extends Component<{ readonly children: ReactNode }, { readonly failed: boolean }> {
  override state: { readonly failed: boolean } = { failed: false };

  static getDerivedStateFromError(): { readonly failed: boolean } {
    return { failed: true };
  }

  override render(): ReactNode {
    if (!this.state.failed) return this.props.children;
    return (
      <main className="sheet sheet-empty">
        <div className="trouble" role="alert">
          <h2>This place could not be opened</h2>
          <p>Its script did not load, or it met an error that nobody expected.</p>
          <p>Look whether the server runs, then load the page anew. What is saved is safe.</p>
          <button type="button" onClick={() => location.reload()}>
            Load anew
          </button>
        </div>
      </main>
    );
  }
}
