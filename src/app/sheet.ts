/** What lies on the desk to be heard, read and taken away: a proposal, or a part that was brought. */

import type { PlannedPassage } from '../harp/planned';

export interface Sheet {
  readonly planned: PlannedPassage;
  /** What it is called in the page: a family's name, or the part's. */
  readonly familyName: string;
  /** What its files are called after the title: a family's id, 'mended', 'for-harp'. */
  readonly family: string;
}
