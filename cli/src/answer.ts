/** What a command gives back; only `main.ts` prints, so that commands can be tested as functions. */
export interface Answer {
  /** The document for `--json`: numbers never rounded. */
  readonly json: unknown;
  /** For people: the sentence first. */
  readonly text: string;
  /** The same as a table for spreadsheets, where the command offers it. */
  readonly csv?: string;
  /** What the reader should know beside the answer; goes to standard error. */
  readonly notes: readonly string[];
  /** True when at least one input could not be used (exit code 1). */
  readonly someFailed?: boolean;
}

/** How the person wants it. */
export interface Output {
  readonly json?: boolean;
  readonly csv?: boolean;
}

export type Print = (answer: Answer, as: Output) => void;
