/** Proposals with the name of who wrote them, and of the piece. */

import type { ProposeAnswer } from './types';

const withNames = (
  answer: ProposeAnswer,
  names: { readonly title?: string; readonly composer?: string },
): ProposeAnswer => ({
  ...answer,
  proposals: answer.proposals.map((p) => ({
    ...p,
    planned: { ...p.planned, passage: { ...p.planned.passage, ...names } },
  })),
});

/** Each passage with its composer, for pages and files; as it was where no name is given. */
export function signed(answer: ProposeAnswer, composer: string): ProposeAnswer {
  const name = composer.trim();
  if (name === '') return answer;
  return withNames(answer, { composer: name });
}

/** Each passage under this title: a piece renamed is the same music. The same list where it has that name already. */
export function titled(answer: ProposeAnswer, title: string): ProposeAnswer {
  if (answer.proposals.every((p) => p.planned.passage.title === title)) return answer;
  return withNames(answer, { title });
}
