/** The two parts of css-tree used here, without its tables of every property known to CSS (200 kB for the page). */
declare module 'css-tree/parser' {
  import type { CssNode, ParseOptions } from 'css-tree';

  const parse: (text: string, options?: ParseOptions) => CssNode;
  export default parse;
}

declare module 'css-tree/generator' {
  import type { CssNode } from 'css-tree';

  const generate: (node: CssNode) => string;
  export default generate;
}
