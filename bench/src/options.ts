/** The value of `--name value` on the command line, or what it is without one. */
export function option(name: string, otherwise: string): string {
  const at = process.argv.indexOf(`--${name}`);
  return at >= 0 && process.argv[at + 1] !== undefined ? process.argv[at + 1]! : otherwise;
}
