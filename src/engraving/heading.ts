/** What stands over a printed part: title, composer, harp, setting, the tuning of strings that have no discs. */

import type { Element } from 'xast';
import type { PlannedPassage } from '../harp/planned';
import { settingName } from '../harp/setting';
import { stringLetter, stringName } from '../harp/strings';
import { spellingName } from '../music/pitch';
import { pedalDiagram } from './pedal-diagram';
import { MARGIN, type Paper, line } from './sheet';
import { element } from './xml-tree';

/** Height that the heading takes under the upper margin. */
export const HEADING = 300;

/** 'C1 as C♭, D1 as D♮': strings without discs that the part uses, to be tuned beforehand; null where there are none. */
export function disclessTuning(planned: PlannedPassage): string | null {
  const used = Object.entries(planned.tuning)
    .map(([string, position]) => ({ string: Number(string), position }))
    .sort((a, b) => a.string - b.string);
  if (used.length === 0) return null;
  return used
    .map(({ string, position }) => {
      const letter = stringLetter(string);
      return `${stringName(string)} as ${position === 0 ? `${letter}♮` : spellingName(letter, position)}`;
    })
    .join(', ');
}

export function heading(planned: PlannedPassage, paper: Paper): Element[] {
  const { passage, instrument, start } = planned;
  const right = paper.width - MARGIN;
  const diagram = pedalDiagram(start);
  const scale = 1.3;
  const at = { x: MARGIN, y: MARGIN + 165 };
  const tuning = disclessTuning(planned);
  return [
    line(paper.width / 2, MARGIN + 60, passage.title, { size: 72, anchor: 'middle' }),
    line(MARGIN, MARGIN + 140, instrument.name, { size: 34 }),
    ...(passage.composer === undefined
      ? []
      : [line(right, MARGIN + 140, passage.composer, { size: 34, anchor: 'end' })]),
    element(
      'g',
      {
        class: 'pedal-diagram',
        transform: `translate(${at.x}, ${at.y}) scale(${scale})`,
        role: 'img',
        'aria-label': `Pedals ${settingName(start)}`,
      },
      ...diagram.glyphs.map(({ d }) => element('path', { d })),
    ),
    line(at.x + diagram.width * scale + 25, at.y + 40, settingName(start), { size: 34 }),
    ...(tuning === null
      ? []
      : [line(right, at.y + 40, `Tune by hand: ${tuning}`, { size: 34, anchor: 'end' })]),
  ];
}

/** Title and page number at the foot. */
export const footer = (planned: PlannedPassage, paper: Paper, page: number, of: number): Element =>
  line(
    paper.width / 2,
    paper.height - 70,
    [planned.passage.title, `${page}/${of}`].filter((part) => part !== '').join(' · '),
    {
      size: 28,
      anchor: 'middle',
    },
  );
