import fc from 'fast-check';
import { expect, it } from 'vitest';
import { findJsonFault } from '../../src/piece-file/json-fault.ts';

it.each([
  ['{\n  "a": 1,\n  "b": }\n', 3, 8, 'a value was expected, "}" was found'],
  ['{\n  "a": 1\n  "b": 2\n}', 3, 3, '"," or "}" was expected, """ was found'],
  ['{ "a": [1, 2,] }', 1, 14, 'a "," stands before "]"; the last entry has none'],
  ["{ 'a': 1 }", 1, 3, 'a field name in double quotes was expected, "\'" was found'],
  ['{ "a" 1 }', 1, 7, '":" was expected, "1" was found'],
  ['{ "a": 1', 1, 9, '"," or "}" was expected, the end of the file was found'],
  ['', 1, 1, 'a value was expected, the end of the file was found'],
  ['{} x', 1, 4, 'something follows the end: "x"'],
  ['{ "a": NaN }', 1, 8, 'a value was expected, "N" was found'],
  ['{ "a": "line\nbreak" }', 1, 13, 'a text is not closed, or holds a line break or an unknown escape'],
])('finds the place in %j', (text, line, column, message) => {
  expect(() => JSON.parse(text)).toThrow();
  expect(findJsonFault(text)).toEqual({ line, column, message });
});

it('stops where JSON.parse stops: a valid text cut short or with one character changed', () => {
  let broken = 0;
  fc.assert(
    fc.property(
      fc.json({ maxDepth: 4 }),
      fc.nat(),
      fc.constantFrom('', '}', ']', ',', '"', 'x', '1'),
      (text, pick, put) => {
        const at = pick % (text.length + 1);
        const changed = text.slice(0, at) + put + text.slice(at + 1);
        try {
          JSON.parse(changed);
        } catch {
          broken++;
          const { message } = findJsonFault(changed);
          // The fallback text would mean that the scanner took for valid what JSON.parse refused.
          expect(message).not.toBe('it is not valid JSON');
        }
      },
    ),
    { seed: 20261125, numRuns: 2000 },
  );
  expect(broken).toBeGreaterThan(500);
});

it('survives deep nesting and long texts', () => {
  expect(findJsonFault('['.repeat(200_000)).message).toContain('the end of the file');
  expect(findJsonFault(`{"d":"${'M 0 0 '.repeat(1_000_000)}`).message).toContain('a text is not closed');
});
