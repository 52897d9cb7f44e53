/** The practice sheet: what each pedal does, bar by bar, in seven lanes, with the setting that stands at each bar. */

import type { Element } from 'xast';
import { type PlannedPassage, settingAt } from '../harp/planned';
import { PEDALS, type Position, type Setting, footOf, positionOf, settingName } from '../harp/setting';
import { barAt } from '../music/metre';
import { type Letter, spellingName } from '../music/pitch';
import { disclessTuning, footer } from './heading';
import { MARGIN, PAPERS, type PaperName, line, sheet } from './sheet';
import { element, writeXml } from './xml-tree';

const BARS_IN_ROW = 4;
const LANE = 34;
/** Between the left foot's lanes and the right foot's. */
const GAP = 16;
const HEAD = 70;
const ROW = HEAD + 7 * LANE + GAP + 40;
const NAMES = 60;
const TOP = MARGIN + 150;

const laneTop = (letter: Letter): number => {
  const place = PEDALS.indexOf(letter);
  return HEAD + place * LANE + (footOf(letter) === 'right' ? GAP : 0);
};
/** A pedal that is up stands high in its lane. */
const heightAt = (letter: Letter, position: Position): number => laneTop(letter) + LANE / 2 + position * 9;

const stroke = (d: string, width: number, grey = false): Element =>
  element('path', {
    d,
    fill: 'none',
    stroke: grey ? '#999' : 'currentColor',
    'stroke-width': String(width),
  });

/** One row of bars, from its left edge at 0 and its top at 0. */
function row(planned: PlannedPassage, first: number, width: number): Element[] {
  const bars = planned.passage.bars.slice(first, first + BARS_IN_ROW);
  const each = (width - NAMES) / BARS_IN_ROW;
  const xOf = (at: number): number => {
    const bar = barAt(bars, at as never);
    return Math.round(NAMES + each * (bars.indexOf(bar) + Math.min(1, (at - bar.start) / bar.length)));
  };
  const from = bars[0]?.start ?? 0;
  const last = bars.at(-1);
  const end = last === undefined ? 0 : last.start + last.length;
  const right = NAMES + each * bars.length;
  const moves = planned.moves.filter(({ onset }) => onset >= from && onset < end);
  const before = (bar: (typeof bars)[number]): Setting => settingAt(planned, bar.start);
  const out: Element[] = [];
  bars.forEach((bar, i) => {
    const x = NAMES + each * i;
    out.push(
      stroke(`M${x} ${HEAD}V${ROW - 40}`, 3, true),
      line(x + 6, 26, bar.number, { size: 28, bold: true }),
      line(x + 6, 58, settingName(before(bar)), { size: 26 }),
    );
  });
  out.push(stroke(`M${right} ${HEAD}V${ROW - 40}`, 3, true));
  for (const letter of PEDALS) {
    const own = moves.filter((move) => move.letter === letter);
    const firstMove = own[0];
    // What a move of the first instant comes from is shown by its step.
    let position =
      firstMove !== undefined ? firstMove.from : positionOf(settingAt(planned, from as never), letter);
    let d = `M${NAMES} ${heightAt(letter, position)}`;
    out.push(line(0, laneTop(letter) + LANE / 2 + 10, spellingName(letter, position), { size: 28 }));
    for (const move of own) {
      const x = xOf(move.onset);
      position = move.to;
      d += `H${x}V${heightAt(letter, position)}`;
      const name = position === 0 ? `${letter}♮` : spellingName(letter, position);
      out.push(
        line(x + 6, laneTop(letter) + LANE / 2 + (position < 0 ? 16 : -2), name, { size: 26, bold: true }),
      );
    }
    out.push(stroke(`${d}H${right}`, own.length === 0 ? 2 : 4, own.length === 0));
  }
  return out;
}

/** Pages of the practice sheet as SVG. Bars read from left to right, pedals from the player's left foot down. */
export function practiceSheet(planned: PlannedPassage, name: PaperName = 'a4'): string[] {
  const paper = PAPERS[name];
  const { bars, title } = planned.passage;
  const rowsOnPage = Math.max(1, Math.floor((paper.height - TOP - MARGIN) / ROW));
  const onPage = rowsOnPage * BARS_IN_ROW;
  const pages = Math.max(1, Math.ceil(bars.length / onPage));
  const tuning = disclessTuning(planned);
  return Array.from({ length: pages }, (_, page) => {
    const children: Element[] = [
      line(MARGIN, MARGIN + 40, `${title === '' ? 'Harp' : title}: pedals`, { size: 52 }),
      line(
        MARGIN,
        MARGIN + 95,
        `Set ${settingName(planned.start)}${tuning === null ? '' : `. Tune by hand: ${tuning}`}. ${planned.moves.length} moves.`,
        { size: 30 },
      ),
    ];
    for (let r = 0; r < rowsOnPage; r++) {
      const first = page * onPage + r * BARS_IN_ROW;
      if (first >= bars.length) break;
      children.push(
        element(
          'g',
          { transform: `translate(${MARGIN}, ${TOP + r * ROW})` },
          ...row(planned, first, paper.width - 2 * MARGIN),
        ),
      );
    }
    children.push(footer(planned, paper, page + 1, pages));
    return writeXml(sheet(paper, `Pedals of ${title}, page ${page + 1}`, null, children));
  });
}
