// A plain request in 4/4 for the tests of proposals.
import type { ProposeRequest } from '../../src/proposals/types';

export const plainRequest = (text: string, seed: string, count: number): ProposeRequest => ({
  text,
  metre: { beats: 4, unit: 4 },
  milliBpm: 80_000,
  seed,
  count,
  families: [],
  start: null,
  aim: 'fewest',
  key: null,
  title: '',
});
