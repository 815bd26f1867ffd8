import { type ReactElement, useEffect, useState } from 'react';

/** A QR code that came as SVG text, shown as a picture: scripts in it, if there were any, would not run. */
export function QrPicture({ svg }: { readonly svg: string }): ReactElement | null {
  const [address, setAddress] = useState<string | null>(null);
  useEffect(() => {
    const made = URL.createObjectURL(new Blob([svg], { type: 'image/svg+xml' }));
    setAddress(made);
    return () => URL.revokeObjectURL(made);
  }, [svg]);
  return address === null ? null : (
    <img
      className="qr"
      src={address}
      alt="QR code of the address with the access code"
      width="220"
      height="220"
    />
  );
}
