import type { Saver } from '../ports.ts';

/** How long the browser may take to begin the download before its address is given back. */
const ADDRESS_LIVES_MS = 60_000;

/** Hands a file to the person as a download. */
export const browserSaver: Saver = {
  save(fileName, mediaType, bytes) {
    const address = URL.createObjectURL(new Blob([bytes as Uint8Array<ArrayBuffer>], { type: mediaType }));
    const link = document.createElement('a');
    link.href = address;
    link.download = fileName;
    link.hidden = true;
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), ADDRESS_LIVES_MS);
    return Promise.resolve();
  },
};
