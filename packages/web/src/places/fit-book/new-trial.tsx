import { type Document, type Problem, problemCode } from '@inlaywright/formats';
import { type ReactElement, useMemo, useState } from 'react';
import { LengthField } from '../../controls/length-field.tsx';
import { SheetFrame } from '../../sheet/sheet-frame.tsx';
import { Cell } from '../../sheet/title-block.tsx';
import { addressOf, goTo, useAddress } from '../../state/place.ts';
import { newKey, workspace } from '../../workspace/client.ts';
import { saved } from '../../workspace/shelf.ts';
import { today } from '../../workspace/trial-desk.ts';
import { useDocuments } from '../../workspace/use-shelf.ts';
import { ProblemNote } from '../problem-note.tsx';
import { CouponDrawing } from './coupon-drawing.tsx';
import { CouponFiles, timeText } from './coupon-files.tsx';
import {
  type CouponChoices,
  type CouponFor,
  draftOf,
  firstChoices,
  inSteps,
  requestFor,
} from './coupon-plan.ts';
import { sameBelonging } from './names.ts';
import { StepsEditor } from './steps-editor.tsx';
import { couponFile, useCoupon } from './use-coupon.ts';
import { inOrder, useJudgement } from './use-judgement.ts';

/** Chooses what a coupon is for, draws it live, and starts the trial that takes its results. */
export function NewTrial(): ReactElement {
  const machines = useDocuments('machines');
  const settings = useDocuments('settings');
  const stocks = useDocuments('stocks');
  const sheets = useDocuments('sheets');
  const records = useDocuments('records');
  const trials = useDocuments('trials');
  const preferences = useDocuments('preferences');
  const { query } = useAddress();
  const [picked, setPicked] = useState<Readonly<Record<string, string>>>({});
  const [changed, setChanged] = useState<Partial<CouponChoices>>(() => choicesIn(query));
  const [lit, setLit] = useState<number | null>(null);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [busy, setBusy] = useState(false);

  const wanted = { ...query, ...picked };
  const machine = choose(machines, wanted.machine);
  const ownSettings = (settings ?? []).filter(({ body }) => body.machine === machine?.id);
  const setting = choose(ownSettings, wanted.setting);
  const stock = choose(stocks, wanted.stock ?? newestOf(trials)?.body.stock ?? largest(stocks)?.id);
  const boards = (sheets ?? []).filter(({ body }) => body.stock === stock?.id && !body.usedUp);
  const sheet = boards.find(({ id }) => id === wanted.sheet);
  const of: CouponFor | null = machine && setting && stock ? { machine, setting, stock, sheet } : null;
  const key = of && { machine: of.machine.id, setting: of.setting.id, stock: of.stock.id };
  const record = records?.find(
    ({ body, supersededBy }) => key && supersededBy == null && sameBelonging(body, key),
  );
  const same = trials?.filter(({ body }) => key && sameBelonging(body, key)) ?? [];
  const { newest, older } = inOrder(same);
  const { judgement } = useJudgement(
    record ? newest : null,
    older,
    preferences?.[0]?.body.grade ?? 'presses by hand',
    preferences?.[0]?.body.halfLifeDays ?? 90,
  );
  const choices = of && { ...firstChoices(of, record), ...changed };
  const coupon = useCoupon(of && choices && requestFor(of, choices));
  const { answer } = coupon;
  // The same coupon for the same things is one trial, however often the button is pressed.
  const draft = of && answer && coupon.current ? draftOf(of, answer, today()) : null;
  const draftText = JSON.stringify(draft);
  // biome-ignore lint/correctness/useExhaustiveDependencies: another draft needs another key
  const onceKey = useMemo(() => newKey(), [draftText]);

  const change = (part: Partial<CouponChoices>): void => setChanged((before) => ({ ...before, ...part }));
  const pick = (field: string, value: string): void => {
    setPicked((before) => ({ ...before, [field]: value }));
    // Sizes and thickness follow what was picked; steps that were typed stay.
    setChanged(({ allowancesMm, gauge, slats }) => ({
      ...(allowancesMm ? { allowancesMm } : {}),
      ...(gauge === undefined ? {} : { gauge }),
      ...(slats === undefined ? {} : { slats }),
    }));
  };
  const start = async (): Promise<void> => {
    if (!draft) return;
    setBusy(true);
    const made = await saved(workspace.create('trials', draft, { key: onceKey }));
    setBusy(false);
    if (made.ok) goTo(addressOf('fit-book', ['trials', made.value.id]));
    else setProblem(made.problem);
  };

  if (!machines || !settings || !stocks) {
    return (
      <main className="sheet sheet-empty">
        <p className="hint" role="status">
          Reading the stock room …
        </p>
      </main>
    );
  }
  if (!of || !choices) {
    return (
      <main className="sheet sheet-empty">
        <div className="empty">
          <h1>A trial needs a machine, a setting and a stock</h1>
          <p>
            {`Still missing: ${[!machine && 'a machine', machine && !setting && 'a setting of it', !stock && 'a stock'].filter(Boolean).join(', ')}. `}
            <a href={addressOf('stock-room', machine ? ['stocks'] : ['machines'])}>
              Enter it in the stock room
            </a>
            .
          </p>
        </div>
      </main>
    );
  }
  return (
    <main className="sheet trial-sheet" aria-busy={!coupon.current}>
      <SheetFrame onZones={ignore}>
        <h1 className="unseen">New trial</h1>
        {problem && <ProblemNote problem={problem} />}
        <div className="sheet-drawing">
          {coupon.problem &&
            (problemCode(coupon.problem) === 'coupon-space' ? (
              <div className="trouble" role="alert">
                <h2>The coupon does not fit</h2>
                <p>{coupon.problem.detail}</p>
              </div>
            ) : (
              <ProblemNote problem={coupon.problem} />
            ))}
          <CouponDrawing
            svgText={couponFile(answer, '.svg')?.text ?? null}
            lit={lit === null ? null : `plug-${lit}`}
            words={answer ? couponWords(answer) : 'Coupon'}
          />
          <p className="legend">
            Plugs and sockets bear the same numbers. Turn each plug over before you try it. G is the two-face
            gauge, X and Y are the slats across each axis.
          </p>
        </div>
        <div className="sheet-fit coupon-of">
          <h2>What it is for</h2>
          <Select
            label="Machine"
            value={machine!.id}
            options={machines}
            onChange={(id) => pick('machine', id)}
          />
          <Select
            label="Setting"
            value={setting!.id}
            options={ownSettings}
            onChange={(id) => pick('setting', id)}
          />
          <Select label="Stock" value={stock!.id} options={stocks} onChange={(id) => pick('stock', id)} />
          {boards.length > 0 && (
            <label className="field-column">
              <span>Board</span>
              <select value={sheet?.id ?? ''} onChange={(event) => pick('sheet', event.target.value)}>
                <option value="">any of this stock</option>
                {boards.map(({ id, body }) => (
                  <option key={id} value={id}>
                    {body.place === '' ? body.name : `${body.name}, ${body.place}`}
                  </option>
                ))}
              </select>
            </label>
          )}
          <LengthField
            label="Thickness, measured"
            valueMm={choices.thicknessMm}
            minMm={0.1}
            maxMm={50}
            stepMm={0.05}
            digits={2}
            onChange={(thicknessMm) => change({ thicknessMm })}
          />
          <LengthField
            label="Kerf it is drawn for"
            valueMm={choices.drawnKerfMm}
            minMm={0}
            maxMm={5}
            stepMm={0.01}
            digits={3}
            onChange={(drawnKerfMm) => change({ drawnKerfMm })}
          />
          <p className="hint">
            {record
              ? 'From the record in force. The trial corrects it.'
              : 'A guess is enough: the trial corrects it.'}
          </p>
          <LengthField
            label="Room, width"
            valueMm={choices.widthMm}
            minMm={10}
            maxMm={5000}
            stepMm={10}
            digits={0}
            onChange={(widthMm) => change({ widthMm })}
          />
          <LengthField
            label="Room, height"
            valueMm={choices.heightMm}
            minMm={10}
            maxMm={5000}
            stepMm={10}
            digits={0}
            onChange={(heightMm) => change({ heightMm })}
          />
          <p className="hint">What bed, stock and board leave; type less to use an offcut.</p>
        </div>
        <div className="sheet-margin coupon-steps">
          <StepsEditor
            allowancesMm={choices.allowancesMm}
            judgement={judgement}
            gauge={choices.gauge}
            slats={choices.slats}
            onChange={(part) =>
              // What a record proposes counts from the kerf that its own coupon was drawn for.
              change(
                part.proposed && newest ? { ...part.choices, drawnKerfMm: newest.drawnKerfMm } : part.choices,
              )
            }
            onPoint={setLit}
          />
        </div>
        <section className="title-block" aria-label="Title block">
          <Cell name="Coupon" wide>
            <span className="title-name">{stock!.body.name}</span>
          </Cell>
          <Cell name="Machine, setting">{`${machine!.body.name}, ${setting!.body.name}`}</Cell>
          <Cell name="Steps">{choices.allowancesMm.length}</Cell>
          <Cell name="Size, mm">
            {answer ? `${answer.widthMm.toFixed(0)} × ${answer.heightMm.toFixed(0)}` : '–'}
          </Cell>
          <Cell name={answer?.typicalMotion ? 'Cut time, typical motion' : 'Cut time'}>
            {answer ? `about ${timeText(answer.cutTime.totalS)}` : '–'}
          </Cell>
          <div className="cell">
            <span className="cell-name">Look at it first</span>
            <CouponFiles answer={coupon.current ? answer : null} />
          </div>
          <div className="cell cell-action">
            <button type="button" className="primary" disabled={busy || !draft} onClick={() => void start()}>
              {busy ? 'Starting …' : 'Start the trial'}
            </button>
            <span className="cell-name">keeps it, for the results</span>
          </div>
        </section>
        <p className="cautions">
          A laser burns and its smoke harms: follow your machine’s manual and local rules, cut only material
          known to be safe, and never leave a running cut alone.
        </p>
      </SheetFrame>
    </main>
  );
}

function ignore(): void {}

/** The wanted document, or the only or first there is. */
function choose<T extends { readonly id: string }>(
  items: readonly T[] | null,
  id: string | undefined,
): T | undefined {
  return items?.find((item) => item.id === id) ?? items?.[0];
}

/** Steps and kerf that the address asks for. */
function choicesIn(query: Readonly<Record<string, string>>): Partial<CouponChoices> {
  const steps = (query.steps ?? '').split(' ').filter(Boolean).map(Number);
  const kerf = Number(query.kerf);
  return {
    ...(steps.length > 0 && steps.every((mm) => Math.abs(mm) <= 1) ? { allowancesMm: inSteps(steps) } : {}),
    ...(query.kerf !== undefined && kerf >= 0 && kerf <= 5 ? { drawnKerfMm: kerf } : {}),
  };
}

/** The trial that was saved last: the next one is likely of the same stock. */
function newestOf(trials: readonly Document<'trials'>[] | null): Document<'trials'> | undefined {
  return [...(trials ?? [])].sort((a, b) => (a.savedAt < b.savedAt ? 1 : -1))[0];
}

function largest(stocks: readonly Document<'stocks'>[] | null): Document<'stocks'> | undefined {
  const area = ({ body }: Document<'stocks'>): number => (body.widthMm ?? 0) * (body.heightMm ?? 0);
  return [...(stocks ?? [])].sort((a, b) => area(b) - area(a))[0];
}

function Select<K extends 'machines' | 'settings' | 'stocks'>(props: {
  readonly label: string;
  readonly value: string;
  readonly options: readonly Document<K>[];
  readonly onChange: (id: string) => void;
}): ReactElement {
  return (
    <label className="field-column">
      <span>{props.label}</span>
      <select value={props.value} onChange={(event) => props.onChange(event.target.value)}>
        {props.options.map(({ id, body }) => (
          <option key={id} value={id}>
            {body.name}
          </option>
        ))}
      </select>
    </label>
  );
}

function couponWords(answer: {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly steps: readonly unknown[];
}): string {
  return `Coupon of ${answer.steps.length} steps, ${answer.widthMm.toFixed(0)} by ${answer.heightMm.toFixed(0)} mm`;
}
