/**
 * What a page may do. It loads nothing from anywhere but this server, runs no text as code and sits in no
 * frame. `blob:` is for the files that the page makes for download.
 */
const PAGE_POLICY = [
  "default-src 'self'",
  "script-src 'self'",
  "style-src 'self'",
  "img-src 'self' blob:",
  "font-src 'self'",
  "connect-src 'self'",
  "worker-src 'self'",
  "object-src 'none'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join('; ');

/**
 * A worker obeys the policy of its own script. The polygon kernel's loader compiles WebAssembly and builds
 * small functions from text; only the computing workers may, and they reach nothing but this server.
 */
const WORKER_POLICY =
  "default-src 'none'; script-src 'self' 'unsafe-eval' 'wasm-unsafe-eval'; connect-src 'self'";

/** Headers of every answer. */
export const COMMON_HEADERS: Readonly<Record<string, string>> = {
  'content-security-policy': PAGE_POLICY,
  'x-content-type-options': 'nosniff',
  'referrer-policy': 'no-referrer',
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-resource-policy': 'same-origin',
  'permissions-policy': 'camera=(), microphone=(), geolocation=(), payment=(), usb=()',
};

/** Policy of a file of the built page, by its path below the page's folder, with forward slashes. */
export function policyOf(path: string): string {
  return /^worker\/[^/]+\.js$/.test(path) ? WORKER_POLICY : PAGE_POLICY;
}
