import {
  type CouponAnswer,
  couponRequestSchema,
  couponSheet,
  idSchema,
  judgeRequestSchema,
  judgeTrials,
  type RecordLookup,
  weighRequestSchema,
} from '@inlaywright/formats';
import type { FastifyInstance } from 'fastify';
import { z } from 'zod';
import { lookUpRecord } from '../fit-book/look-up.ts';
import { weigh } from '../fit-book/weigh.ts';
import { documentOf } from '../kinds.ts';
import type { Store } from '../storage/store.ts';
import { bodyOf, DOCUMENT_LIMIT_BYTES, onceOf, queryOf, withVersion } from './request.ts';

const lookupQuery = z.strictObject({
  machine: idSchema,
  stock: idSchema,
  setting: idSchema,
  thicknessMm: z.coerce.number().positive().max(50).optional(),
  on: z.iso.date().optional(),
});

/** A judgement takes a fifth of a second of this one thread: a page that asks in a loop must not keep others waiting. */
const JUDGING = { rateLimit: { max: 60, timeWindow: '1 minute' } };

/** Coupons, judgements and fit records. */
export function fitRoutes(app: FastifyInstance, store: Store, now: () => Date): void {
  const limits = { bodyLimit: DOCUMENT_LIMIT_BYTES, config: JUDGING };

  app.post('/api/coupons', limits, (request): CouponAnswer => {
    const { speedMmPerS, motion, ...options } = bodyOf(request, couponRequestSchema);
    const { coupon, time, trial, files } = couponSheet({
      ...options,
      motion: { ...motion, ...(speedMmPerS === undefined ? {} : { cutMmPerS: speedMmPerS }) },
    });
    return {
      widthMm: coupon.sheet.widthMm,
      heightMm: coupon.sheet.heightMm,
      steps: coupon.steps.map((step) => ({ ...step })),
      ...(coupon.gaugeMm === undefined ? {} : { gaugeMm: coupon.gaugeMm }),
      ...(coupon.slats === undefined ? {} : { slats: { ...coupon.slats } }),
      cutTime: { ...time },
      typicalMotion: motion === undefined,
      files: files.map((file) => ({ ...file })),
      trial,
    };
  });

  app.post('/api/fit/judge', limits, (request) => {
    const { trial, older, grade, halfLifeDays } = bodyOf(request, judgeRequestSchema);
    return judgeTrials(
      { name: 'The trial', trial },
      {
        grade,
        halfLifeDays,
        older: older.map((earlier, i) => ({ name: `Earlier trial ${i + 1}`, trial: earlier })),
      },
    );
  });

  app.post('/api/fit/records', limits, (request, reply) => {
    const wanted = bodyOf(request, weighRequestSchema);
    const { head, again } = weigh(store, wanted, now(), onceOf(request));
    return withVersion(reply, head.version)
      .code(again ? 200 : 201)
      .header('location', `/api/records/${head.id}`)
      .send(documentOf(store, 'records', store.get('records', head.id)!));
  });

  app.get('/api/fit/record', (request): RecordLookup => {
    const { on, ...question } = queryOf(request, lookupQuery);
    return lookUpRecord(store, question, on ?? now().toISOString().slice(0, 10));
  });
}
