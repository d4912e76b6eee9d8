import { svelte } from '@sveltejs/vite-plugin-svelte';
import { availableParallelism } from 'node:os';
import { defineConfig } from 'vitest/config';

const setupFiles = ['tests/support/property-seed.ts'];

/** One runner for every kind of test, so that one count says whether all is well. */
export default defineConfig({
  test: {
    // By itself the runner leaves one core unused, which on a machine of two is half of it.
    maxWorkers: availableParallelism(),
    projects: [
      {
        test: {
          name: 'core',
          setupFiles,
          include: ['core/src/**/*.test.ts', 'reference/**/*.test.ts'],
          environment: 'node',
          testTimeout: 180_000,
          hookTimeout: 180_000,
        },
      },
      {
        test: {
          name: 'io',
          setupFiles,
          include: ['io/src/**/*.test.ts'],
          environment: 'node',
          testTimeout: 180_000,
          hookTimeout: 180_000,
        },
      },
      {
        plugins: [svelte()],
        test: { name: 'app', setupFiles, include: ['app/src/**/*.test.ts'], environment: 'node', testTimeout: 180_000, hookTimeout: 180_000 },
      },
      {
        test: {
          name: 'cli',
          setupFiles,
          include: ['cli/src/**/*.test.ts', 'tests/package/**/*.test.ts'],
          environment: 'node',
          testTimeout: 180_000,
          hookTimeout: 180_000,
        },
      },
      {
        test: {
          name: 'end-to-end',
          include: ['tests/e2e/**/*.test.ts'],
          environment: 'node',
          testTimeout: 240_000,
          hookTimeout: 180_000,
          // Two journeys at a time: more would starve the browsers' workers on a small machine.
          maxWorkers: 2,
          sequence: { groupOrder: 1 },
        },
      },
    ],
  },
});
