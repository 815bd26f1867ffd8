import qrcode from 'qrcode';

/** A QR code for the terminal, of block characters, dark on light as readers expect it. */
export function qrText(address: string): Promise<string> {
  return qrcode.toString(address, { type: 'utf8', errorCorrectionLevel: 'M' });
}

/** A QR code as SVG text, with the quiet zone of four modules that the standard asks for. */
export function qrSvg(address: string): Promise<string> {
  return qrcode.toString(address, { type: 'svg', errorCorrectionLevel: 'M', margin: 4 });
}
