export { FormatError } from './errors.ts';
export { readFit, writeFit } from './fit-file/fit-file.ts';
