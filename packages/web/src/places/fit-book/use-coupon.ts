import type { CouponAnswer, CouponRequest, Problem, TrialBody } from '@inlaywright/formats';
import { useEffect, useState } from 'react';
import { workspace } from '../../workspace/client.ts';
import { useDocuments } from '../../workspace/use-shelf.ts';
import { choicesOf, requestFor } from './coupon-plan.ts';

export interface DrawnCoupon {
  /** The newest coupon that could be drawn. */
  readonly answer: CouponAnswer | null;
  /** The request that it answers, as JSON; other than what is asked for while a newer one is on its way. */
  readonly drawnFor: string;
  readonly problem: Problem | null;
}

const QUIET_MS = 120;

/** Draws a coupon at every change of what is asked for; the last one stays until the next is there. */
export function useCoupon(request: CouponRequest | null): DrawnCoupon & { readonly current: boolean } {
  const [drawn, setDrawn] = useState<DrawnCoupon>({ answer: null, drawnFor: '', problem: null });
  const asked = request === null ? '' : JSON.stringify(request);
  useEffect(() => {
    if (asked === '') return;
    let overtaken = false;
    const timer = setTimeout(async () => {
      const answer = await workspace.coupon(JSON.parse(asked) as CouponRequest);
      if (overtaken) return;
      setDrawn((before) =>
        answer.ok
          ? { answer: answer.value, drawnFor: asked, problem: null }
          : { ...before, problem: answer.problem },
      );
    }, QUIET_MS);
    return () => {
      overtaken = true;
      clearTimeout(timer);
    };
  }, [asked]);
  return { ...drawn, current: drawn.drawnFor === asked && drawn.problem === null };
}

/** The coupon of a trial that was started before, drawn again as far as what it was for is still there. */
export function useCouponOf(body: TrialBody | null, wanted = true): DrawnCoupon {
  const machine = useDocuments('machines')?.find(({ id }) => id === body?.machine);
  const stock = useDocuments('stocks')?.find(({ id }) => id === body?.stock);
  const setting = useDocuments('settings')?.find(({ id }) => id === body?.setting);
  const sheet = useDocuments('sheets')?.find(({ id }) => id === body?.sheet);
  const of = wanted && machine && stock && setting ? { machine, stock, setting, sheet } : null;
  return useCoupon(of && body && requestFor(of, choicesOf(body.trial, of)));
}

/** The file of a coupon with an ending, such as `.svg`. */
export function couponFile(
  answer: CouponAnswer | null,
  ending: string,
): { readonly name: string; readonly text: string } | undefined {
  return answer?.files.find(({ name }) => name.endsWith(ending));
}
