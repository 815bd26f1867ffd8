/** The parts of `qrcode` that are used here; the package brings no types. */
declare module 'qrcode' {
  const qrcode: {
    toString(
      text: string,
      options: {
        readonly type: 'utf8' | 'svg';
        readonly errorCorrectionLevel: 'L' | 'M' | 'Q' | 'H';
        readonly margin?: number;
      },
    ): Promise<string>;
  };
  export default qrcode;
}
