/** The terminal's two mouths: the answer to stdout, everything else to stderr. */

/** What a call leaves: the JSON document, the same for people, and whether problems were found. */
export interface Answer {
  readonly json: unknown;
  readonly text: string;
  readonly problemsFound: boolean;
}

export interface Terminal {
  out(text: string): void;
  err(text: string): void;
}

/** Prints an answer and returns the exit code: 0 done, 1 done and problems found. */
export function print(answer: Answer, asJson: boolean, terminal: Terminal): number {
  terminal.out(
    asJson
      ? `${JSON.stringify(answer.json)}\n`
      : answer.text.endsWith('\n')
        ? answer.text
        : `${answer.text}\n`,
  );
  return answer.problemsFound ? 1 : 0;
}
