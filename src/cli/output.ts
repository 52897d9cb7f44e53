/** The terminal's two mouths: the answer to stdout, everything else to stderr. */

/** What a call leaves: the JSON document, the same for people, and whether problems were found. */
export interface Answer {
  readonly json: unknown;
  readonly text: string;
  /** A line for stderr beside the answer, or null. */
  readonly note?: string | null;
  readonly problemsFound: boolean;
}

export interface Terminal {
  out(text: string): void;
  err(text: string): void;
}

/** Prints an answer and returns the exit code: 0 done, 1 done and problems found. */
export function print(answer: Answer, asJson: boolean, terminal: Terminal): number {
  if (typeof answer.note === 'string') terminal.err(`${answer.note}\n`);
  terminal.out(
    asJson
      ? `${JSON.stringify(answer.json)}\n`
      : answer.text.endsWith('\n')
        ? answer.text
        : `${answer.text}\n`,
  );
  return answer.problemsFound ? 1 : 0;
}

/** Whoever reads a stream may stop before its end, as `head` does: what is left unsaid is no mishap. */
export function endQuietly(stream: NodeJS.EventEmitter): void {
  stream.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code !== 'EPIPE') throw error;
  });
}
