/** Input that cannot be read. The message says what is wrong; `where` and `hint` say the place and what to do. */
export class FormatError extends Error {
  readonly code: string;
  /** Place in the input: a field path, an element, or a line and column. */
  readonly where: string;
  /** What the maker can do about it. */
  readonly hint: string;

  constructor(code: string, message: string, at: { readonly where: string; readonly hint: string }) {
    super(message);
    this.name = 'FormatError';
    this.code = code;
    this.where = at.where;
    this.hint = at.hint;
  }
}
