/** Long work between frames: a little at a time, so that the page answers meanwhile. */

const AT_A_TIME_MS = 12;

/**
 * Runs steps to their end.
 * @param wanted asked before every stretch; once it says no the work is left
 * @returns what they come to, or `null` where it was left
 */
export async function unhurried<Result>(steps: Generator<void, Result>, wanted: () => boolean = () => true): Promise<Result | null> {
  while (wanted()) {
    const until = performance.now() + AT_A_TIME_MS;
    do {
      const step = steps.next();
      if (step.done === true) return step.value;
    } while (performance.now() < until);
    await new Promise((resolve) => setTimeout(resolve));
  }
  return null;
}
