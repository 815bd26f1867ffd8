import react from '@vitejs/plugin-react';
import { defaultClientConditions, defineConfig, type Plugin } from 'vite';

/** The polygon kernel's loader asks for Node's `module` where it runs in Node; in a page that branch is dead. */
const noNodeModule: Plugin = {
  name: 'no-node-module',
  enforce: 'pre',
  resolveId: (id) => (id === 'module' ? '\0no-node-module' : undefined),
  load: (id) => (id === '\0no-node-module' ? 'export const createRequire = undefined;' : undefined),
};

export default defineConfig({
  plugins: [react(), noNodeModule],
  // The page is built from the packages' sources, so that a stale build of theirs cannot slip in.
  resolve: { conditions: ['@inlaywright/source', ...defaultClientConditions] },
  build: {
    target: 'es2023',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
  },
  worker: {
    format: 'es',
    plugins: () => [noNodeModule],
    // The server gives files below worker/ the policy that the polygon kernel's loader needs.
    rollupOptions: {
      output: {
        entryFileNames: 'worker/[name]-[hash].js',
        chunkFileNames: 'worker/[name]-[hash].js',
        assetFileNames: 'assets/[name]-[hash][extname]',
      },
    },
  },
});
