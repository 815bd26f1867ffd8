import type { ReactElement } from 'react';
import { Choice } from '../controls/choice.tsx';
import { RuleSlider } from '../controls/rule-slider.tsx';
import type { PieceDrawing } from '../drawing/model.ts';
import { changeSettings, setFit } from '../state/page.ts';
import { usePage } from '../state/use-page.ts';
import { numbersOf } from '../worker/fit-of.ts';
import { FitFromBook } from './fit-from-book.tsx';
import { SeamSection } from './seam-section.tsx';

/** The fit: a section across the seam in question, and the numbers that shape it. */
export function FitControls({ drawing }: { readonly drawing: PieceDrawing }): ReactElement {
  const settings = usePage((state) => state.settings);
  const selected = usePage((state) => state.selected);
  const pointed = usePage((state) => state.pointed);
  const mark = pointed?.kind === 'seam' ? pointed : selected?.kind === 'seam' ? selected : null;
  const longest = [...drawing.seams].sort((a, b) => b.lengthMm - a.lengthMm)[0];
  const seam = drawing.seams.find(({ id }) => id === mark?.id) ?? longest;
  const { fit, records, share, turn, pair } = settings;
  const toned = Array.isArray(turn) ? turn : null;
  return (
    <section className="fit" aria-labelledby="fit-title">
      <h2 id="fit-title">Fit</h2>
      {seam ? (
        <SeamSection drawing={drawing} seam={seam} fit={(tone) => numbersOf(settings, tone)} />
      ) : (
        <p className="hint">This piece has one part and no seam: there is nothing to press together.</p>
      )}
      <FitFromBook tones={drawing.tones} />
      {records.all === null && (
        <>
          <RuleSlider
            label="Kerf at the entry face"
            valueMm={fit.kerfEntryMm}
            fromMm={0}
            toMm={0.4}
            minMm={0}
            maxMm={2}
            stepMm={0.005}
            markMm={0.1}
            onChange={(kerfEntryMm) => setFit({ kerfEntryMm })}
          />
          <RuleSlider
            label="Kerf at the exit face"
            valueMm={fit.kerfExitMm}
            fromMm={0}
            toMm={0.4}
            minMm={0}
            maxMm={2}
            stepMm={0.005}
            markMm={0.1}
            onChange={(kerfExitMm) => setFit({ kerfExitMm })}
          />
          <RuleSlider
            label="Allowance a side"
            valueMm={fit.allowanceMm}
            fromMm={-0.05}
            toMm={0.1}
            minMm={-1}
            maxMm={1}
            stepMm={0.005}
            markMm={0.05}
            signed
            onChange={(allowanceMm) => setFit({ allowanceMm })}
          />
          <p className="caution">Starting values, not measured on your machine: cut a small trial first.</p>
        </>
      )}
      <Choice
        label="Allowance taken by"
        value={share}
        shape="row"
        options={[
          { value: 'inserted', label: 'the inserted part' },
          { value: 'both', label: 'both, half each' },
        ]}
        onChange={(value) => changeSettings({ share: value })}
      />
      <Choice
        label="Turned over at assembly"
        value={toned ? 'tones' : (turn as 'auto' | 'none')}
        shape="row"
        options={[
          { value: 'auto', label: 'every other part' },
          { value: 'none', label: 'none' },
          { value: 'tones', label: 'by tone' },
        ]}
        onChange={(value) => changeSettings({ turn: value === 'tones' ? firstTurned(drawing) : value })}
      />
      {toned && (
        <fieldset className="choice choice-row">
          <legend className="unseen">Turned tones</legend>
          {drawing.tones.map((tone) => (
            <label key={tone.id} className="choice-option">
              <input
                type="checkbox"
                checked={toned.includes(tone.id)}
                onChange={(event) =>
                  changeSettings({
                    turn: event.target.checked ? [...toned, tone.id] : toned.filter((id) => id !== tone.id),
                  })
                }
              />
              <span>{tone.name}</span>
            </label>
          ))}
        </fieldset>
      )}
      <label className="choice-option">
        <input
          type="checkbox"
          checked={pair}
          onChange={(event) => changeSettings({ pair: event.target.checked })}
        />
        <span>Make a left and a right that mirror each other</span>
      </label>
    </section>
  );
}

/** The tones with a turned part now: the choice by tone starts from what is shown. */
function firstTurned(drawing: PieceDrawing): readonly string[] {
  return [...new Set(drawing.parts.filter((part) => part.turned).map((part) => part.tone))];
}
