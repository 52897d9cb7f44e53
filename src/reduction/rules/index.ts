/** Every rule of the piano-to-harp table, in the order in which the search tries them. */

import type { Rule } from '../types';

export const RULES: readonly Rule[] = [];
