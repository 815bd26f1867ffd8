import { defineConfig } from 'vitest/config';

// The page in a real browser, as built, served by our own server from its sources.
const conditions = ['@inlaywright/source'];

export default defineConfig({
  root: import.meta.dirname,
  resolve: { conditions },
  ssr: { resolve: { conditions, externalConditions: conditions } },
  test: {
    include: ['e2e/**/*.e2e.test.ts'],
    testTimeout: 60_000,
    hookTimeout: 60_000,
    pool: 'forks',
    // One browser at a time: two of them on a small machine make each other's timings.
    maxWorkers: 1,
    fileParallelism: false,
  },
});
