import { createHash } from 'node:crypto';
import { readCode } from '../access/code.ts';

/**
 * The two pages that the server itself draws: where a device enters the access code, and where the serving machine shows it.
 * Plain HTML without a script, under a policy that allows one style sheet by its hash and nothing else.
 */
const STYLE = `
:root { color-scheme: light dark; font: 18px/1.5 system-ui, sans-serif; }
body { max-width: 26rem; margin: 3rem auto; padding: 0 1rem; }
h1 { font-size: 1.35rem; }
label, input, button { display: block; width: 100%; box-sizing: border-box; }
label { margin-top: 1rem; }
input, button { font: inherit; padding: 0.75rem; margin-top: 0.25rem; min-height: 3rem; }
.code, input[name='code'] { font-family: ui-monospace, monospace; letter-spacing: 0.1em; }
.code { font-size: 2rem; }
button { margin-top: 1.5rem; font-weight: 600; }
.trouble { border-left: 0.4rem solid currentColor; padding-left: 0.75rem; font-weight: 600; }
svg { width: 16rem; height: 16rem; background: #fff; }
`;

const HASH = createHash('sha256').update(STYLE).digest('base64');

export const PLAIN_POLICY = [
  "default-src 'none'",
  `style-src 'sha256-${HASH}'`,
  "form-action 'self'",
  "base-uri 'none'",
  "frame-ancestors 'none'",
].join('; ');

function page(title: string, content: string): string {
  return `<!doctype html>
<html lang="en">
<head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>${title}</title><style>${STYLE}</style></head>
<body><main>${content}</main></body>
</html>
`;
}

function escaped(text: string): string {
  return text.replace(/[&<>"']/g, (character) => `&#${character.charCodeAt(0)};`);
}

/** Where a device enters the code; a code from the address is filled in, and sent by hand. */
export function enterPage(typed: string, trouble: string): string {
  const code = readCode(typed).slice(0, 16);
  return page(
    'Enter the access code',
    `<h1>Enter the access code</h1>
<p>It stands in the terminal and on the screen of the machine that serves this workshop.</p>
${trouble === '' ? '' : `<p class="trouble" role="alert">${escaped(trouble)}</p>`}
<form method="post" action="/enter">
<label for="code">Access code</label>
<input id="code" name="code" value="${escaped(code)}" autocomplete="one-time-code" autocapitalize="characters" spellcheck="false" required maxlength="16">
<label for="device">Name of this device (may stay empty)</label>
<input id="device" name="device" maxlength="80" autocomplete="off">
<button type="submit">Open the workshop</button>
</form>`,
  );
}

/** Where the serving machine shows the code to other devices. */
export function sharePage(
  share: { readonly address: string; readonly code: string; readonly qrSvg: string } | undefined,
): string {
  if (!share) {
    return page(
      'Not shared',
      `<h1>This workshop is not shared</h1>
<p>Start the program with <code>--share</code> to open it to the tablet at the laser or the phone beside the calipers.</p>`,
    );
  }
  return page(
    'Share with other devices',
    `<h1>Open the workshop on another device</h1>
<p>Point its camera here, or open <strong>${escaped(share.address)}</strong> and type the code.</p>
${share.qrSvg}
<p class="code">${escaped(share.code)}</p>
<p>Everybody who has the code may see and change everything. It holds until the program is ended.</p>`,
  );
}
