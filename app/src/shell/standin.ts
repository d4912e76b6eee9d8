// Until #io/browser has its clock and saver.
import type { Clock, Saver } from '#io/ports';

export const clock: Clock = {
  now: () => new Date().toISOString().replace('Z', '+00:00'),
  zone: () => Intl.DateTimeFormat().resolvedOptions().timeZone,
};

export const saver: Saver = {
  save(fileName, mediaType, bytes) {
    const address = URL.createObjectURL(new Blob([bytes as BlobPart], { type: mediaType }));
    const link = document.createElement('a');
    link.href = address;
    link.download = fileName;
    link.click();
    setTimeout(() => URL.revokeObjectURL(address), 60_000);
    return Promise.resolve();
  },
};
