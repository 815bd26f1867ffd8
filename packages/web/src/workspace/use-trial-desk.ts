import { useEffect, useState } from 'react';
import { useStore } from 'zustand';
import { createStore } from 'zustand/vanilla';
import { openTrial, type TrialDesk, type TrialState } from './trial-desk.ts';

const NOTHING: TrialState = {
  base: null,
  mine: null,
  texts: {},
  sending: false,
  away: null,
  refused: null,
  conflict: null,
  kept: true,
};
const nothing = createStore<TrialState>(() => NOTHING);

/** Opens a trial while the component is there. */
export function useTrialDesk(id: string): { readonly desk: TrialDesk | null; readonly state: TrialState } {
  const [desk, setDesk] = useState<TrialDesk | null>(null);
  useEffect(() => {
    const opened = openTrial(id);
    setDesk(opened);
    return () => {
      opened.close();
      setDesk(null);
    };
  }, [id]);
  return { desk, state: useStore(desk?.state ?? nothing) };
}
