/**
 * The command line: commander around the commands, which are functions. One JSON document or a text for people on
 * standard output, messages on standard error. Exit code 0: done; 1: ran, but an input could not be used; 2: the call
 * itself is wrong.
 */
import { Command, CommanderError } from 'commander';
import { InputError, isCamerawrightError } from '#core';
import type { Answer } from './answer.ts';
import { json } from './printing.ts';
import { registerCommands } from './commands.ts';
import { version } from '../../package.json';

interface Streams {
  readonly out: (text: string) => void;
  readonly err: (text: string) => void;
}

const terminal: Streams = {
  out: (text) => process.stdout.write(text),
  err: (text) => process.stderr.write(text),
};

/** Prints an answer as asked for and gives the exit code. */
function print(answer: Answer, as: { readonly json?: boolean; readonly csv?: boolean }, streams: Streams): number {
  for (const note of answer.notes) streams.err(`${note}\n`);
  if (as.json) streams.out(json(answer.json));
  else if (as.csv && answer.csv !== undefined) streams.out(answer.csv);
  else if (answer.text !== '') streams.out(`${answer.text}\n`);
  return answer.someFailed ? 1 : 0;
}

/** Runs one call of the command line. */
export async function runCommandLine(args: readonly string[], streams: Streams = terminal): Promise<number> {
  let exitCode = 0;
  const program = new Command('camerawright')
    .description('A workbench for people who build their own pinhole cameras.')
    .version(version, '--version')
    // a command with commands below it reads its own options only
    .enablePositionalOptions()
    .exitOverride()
    .configureOutput({ writeOut: streams.out, writeErr: streams.err })
    .showHelpAfterError('(camerawright --help lists the commands)');
  registerCommands(program, (answer, as) => {
    exitCode = print(answer, as, streams);
  });
  try {
    await program.parseAsync([...args], { from: 'user' });
    return exitCode;
  } catch (error) {
    // Commander has already said what is wrong; its help and version are no errors.
    if (error instanceof CommanderError) return error.exitCode === 0 ? 0 : 2;
    if (isCamerawrightError(error)) {
      streams.err(`${error.message}\n`);
      return error instanceof InputError ? 2 : 1;
    }
    throw error;
  }
}
