import { defineConfig } from 'vitest/config';

// Tests run against sources, so that a stale build can never make one pass.
const conditions = ['@inlaywright/source'];

export default defineConfig({
  resolve: { conditions },
  ssr: { resolve: { conditions, externalConditions: conditions } },
  test: {
    include: ['packages/*/test/**/*.test.ts', 'bench/test/**/*.test.ts'],
    testTimeout: 60_000,
    hookTimeout: 60_000,
    pool: 'forks',
    maxWorkers: 2,
  },
});
