/** How `page` is called: told without loading the engraver. */

import { PART_USAGE } from './part-options';

export const PAGE_USAGE = `page FILE --out DIR ${PART_USAGE} [--pedals none|settings|diagrams|words|two-lines] [--fingering] [--chords] [--own-key] [--paper a4|letter]`;
export const PAGE_DOES = 'a part for paper: SVG pages with their turns, and a practice sheet for the pedals';
