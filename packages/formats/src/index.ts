export { FormatError } from './errors.ts';
export { readFit, writeFit } from './fit-file/fit-file.ts';
export { type LengthReading, parseLength } from './length/parse-length.ts';
