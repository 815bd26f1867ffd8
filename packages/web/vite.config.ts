import react from '@vitejs/plugin-react';
import { defaultClientConditions, defineConfig } from 'vite';

export default defineConfig({
  plugins: [react()],
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
