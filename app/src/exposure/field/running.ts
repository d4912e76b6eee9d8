/**
 * The exposure that runs, kept on this device: the instant of its start and what was asked, so that it is true after
 * lock, sleep, another tab or a reload. Nothing is counted; every look asks the clock.
 */
import type { ExposureQuestion } from '#core';

export interface Running {
  /** The press on Start, ISO 8601. */
  readonly startedAt: string;
  readonly preCountS: number;
  readonly timeS: number;
  readonly cameraId: string | null;
  /** What was asked, with the film as it was then. */
  readonly question: ExposureQuestion;
  /** Set when the shutter was closed. */
  readonly closedAt: string | null;
}

const key = 'camerawright.running-exposure';

export function rememberRunning(running: Running | null): void {
  try {
    if (running === null) localStorage.removeItem(key);
    else localStorage.setItem(key, JSON.stringify(running));
  } catch {
    // Without storage the exposure runs as long as the page lives.
  }
}

function isRunning(value: unknown): value is Running {
  if (typeof value !== 'object' || value === null) return false;
  const { startedAt, preCountS, timeS, question } = value as Partial<Running>;
  return (
    typeof startedAt === 'string' &&
    !Number.isNaN(Date.parse(startedAt)) &&
    typeof preCountS === 'number' &&
    preCountS >= 0 &&
    typeof timeS === 'number' &&
    timeS > 0 &&
    typeof question === 'object'
  );
}

export function recalledRunning(): Running | null {
  try {
    const stored: unknown = JSON.parse(localStorage.getItem(key) ?? 'null');
    return isRunning(stored) ? stored : null;
  } catch {
    return null;
  }
}
