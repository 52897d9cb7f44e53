/** Proposals with the name of who wrote them. */

import type { ProposeAnswer } from './types';

/** Each passage with its composer, for pages and files; as it was where no name is given. */
export function signed(answer: ProposeAnswer, composer: string): ProposeAnswer {
  const name = composer.trim();
  if (name === '') return answer;
  return {
    ...answer,
    proposals: answer.proposals.map((p) => ({
      ...p,
      planned: { ...p.planned, passage: { ...p.planned.passage, composer: name } },
    })),
  };
}
