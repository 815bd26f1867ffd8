/** Offers a file for download under a name. */
export function offerFile(name: string, content: Blob): void {
  const address = URL.createObjectURL(content);
  const link = document.createElement('a');
  link.href = address;
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  // The browser has taken hold of the content once the click is handled; a moment's grace costs nothing.
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
