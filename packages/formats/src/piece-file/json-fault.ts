/**
 * Where a text stops being JSON (RFC 8259). Engines word their errors differently and some give no place, so the place
 * is found here; only called when JSON.parse has already failed.
 */
export interface JsonFault {
  readonly line: number;
  readonly column: number;
  readonly message: string;
}

export function findJsonFault(text: string): JsonFault {
  const scanner = { text, at: 0 };
  const problem = value(scanner) ?? afterValue(scanner);
  const message = problem ?? 'it is not valid JSON';
  const before = text.slice(0, scanner.at);
  const line = before.split('\n').length;
  return { line, column: scanner.at - (before.lastIndexOf('\n') + 1) + 1, message };
}

interface Scanner {
  readonly text: string;
  at: number;
}

const SPACE = /[ \t\r\n]*/y;
const NUMBER = /-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?/y;
const ESCAPE = /["\\/bfnrt]|u[0-9a-fA-F]{4}/y;

function skip(scanner: Scanner, pattern: RegExp): boolean {
  pattern.lastIndex = scanner.at;
  const match = pattern.exec(scanner.text);
  if (match === null) return false;
  scanner.at += match[0].length;
  return true;
}

/** Steps over a text in double quotes; on failure the scanner stands at the fault. A loop: texts can be megabytes. */
function skipText(scanner: Scanner): boolean {
  const { text } = scanner;
  if (text[scanner.at] !== '"') return false;
  scanner.at++;
  while (scanner.at < text.length && text.charCodeAt(scanner.at) >= 0x20) {
    const character = text[scanner.at++];
    if (character === '"') return true;
    if (character === '\\' && !skip(scanner, ESCAPE)) return false;
  }
  return false;
}

function seen(scanner: Scanner): string {
  return scanner.at < scanner.text.length ? `"${scanner.text[scanner.at]}"` : 'the end of the file';
}

/** Reads one value; returns what is wrong, leaving the scanner there. */
function value(scanner: Scanner): string | undefined {
  // Depth is kept as a stack of closing brackets, so that nesting cannot exhaust the call stack.
  const open: ('}' | ']')[] = [];
  for (;;) {
    skip(scanner, SPACE);
    const first = scanner.text[scanner.at];
    if (first === '{' || first === '[') {
      const end = first === '{' ? '}' : ']';
      scanner.at++;
      skip(scanner, SPACE);
      if (scanner.text[scanner.at] === end) scanner.at++;
      else {
        open.push(end);
        const wrong = end === '}' ? key(scanner) : undefined;
        if (wrong) return wrong;
        continue;
      }
    } else if (first === '"') {
      if (!skipText(scanner)) return 'a text is not closed, or holds a line break or an unknown escape';
    } else if (!skip(scanner, NUMBER) && !skip(scanner, /true|false|null/y)) {
      return `a value was expected, ${seen(scanner)} was found`;
    }
    for (;;) {
      const end = open.at(-1);
      if (end === undefined) return undefined;
      skip(scanner, SPACE);
      const next = scanner.text[scanner.at];
      if (next === end) {
        scanner.at++;
        open.pop();
        continue;
      }
      if (next !== ',') return `"," or "${end}" was expected, ${seen(scanner)} was found`;
      scanner.at++;
      skip(scanner, SPACE);
      if (scanner.text[scanner.at] === end) return `a "," stands before "${end}"; the last entry has none`;
      const wrong = end === '}' ? key(scanner) : undefined;
      if (wrong) return wrong;
      break;
    }
  }
}

function key(scanner: Scanner): string | undefined {
  skip(scanner, SPACE);
  if (!skipText(scanner)) return `a field name in double quotes was expected, ${seen(scanner)} was found`;
  skip(scanner, SPACE);
  if (scanner.text[scanner.at] !== ':') return `":" was expected, ${seen(scanner)} was found`;
  scanner.at++;
  return undefined;
}

function afterValue(scanner: Scanner): string | undefined {
  skip(scanner, SPACE);
  return scanner.at < scanner.text.length ? `something follows the end: ${seen(scanner)}` : undefined;
}
