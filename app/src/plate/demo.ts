/**
 * The demo workshop comes with plates and their scans, but without any figure: on the first visit the scans are
 * measured here and now, so that what is shown was computed by this program on this machine.
 */
import type { Illumination, Workshop } from '#core';
import { NOTHING_GIVEN } from './open-scan.ts';
import type { Given } from './open-scan.ts';

const doneKey = 'camerawright.demo-measured';

export interface DemoScan {
  readonly plateId: string;
  readonly url: URL;
  readonly fileName: string;
  readonly given: Given;
}

interface ManifestEntry {
  readonly plateId: string;
  readonly scan: string;
  readonly illumination?: Illumination;
  readonly scannedFace?: Given['scannedFace'];
  readonly mirrored?: boolean;
}

function done(): readonly string[] {
  try {
    const stored: unknown = JSON.parse(localStorage.getItem(doneKey) ?? '[]');
    return Array.isArray(stored) ? stored.filter((id): id is string => typeof id === 'string') : [];
  } catch {
    return [];
  }
}

/** Remembers that a plate was measured once: a pass that is taken back must not come again by itself. */
export function rememberMeasured(plateId: string): void {
  try {
    localStorage.setItem(doneKey, JSON.stringify([...new Set([...done(), plateId])]));
  } catch {
    // Without storage the workshop is new on every visit, and so are its readings.
  }
}

/** Scans of the demo that were never measured, in the order of the manifest; none for any other workshop. */
export async function unmeasuredDemo(workshop: Workshop, base: string): Promise<DemoScan[]> {
  const measured = new Set(done());
  const open = new Set(
    workshop.plates.filter(({ id, passes }) => passes.length === 0 && !measured.has(id)).map(({ id }) => id),
  );
  if (open.size === 0) {
    return [];
  }
  const manifestUrl = new URL('demo/demo.json', base);
  const answer = await fetch(manifestUrl);
  if (!answer.ok) {
    return [];
  }
  const manifest = (await answer.json()) as { readonly plates?: readonly ManifestEntry[] };
  return (manifest.plates ?? [])
    .filter(({ plateId }) => open.has(plateId))
    .map(({ plateId, scan, illumination, scannedFace, mirrored }) => ({
      plateId,
      url: new URL(scan, manifestUrl),
      fileName: scan.replace(/^.*\//, ''),
      given: {
        ...NOTHING_GIVEN,
        ...(illumination !== undefined && { illumination }),
        ...(scannedFace !== undefined && { scannedFace }),
        ...(mirrored !== undefined && { mirrored }),
      },
    }));
}
