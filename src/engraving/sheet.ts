/** Sheets of paper as SVG: size, margins, lines of text. One unit is a tenth of a millimetre. */

import type { Element } from 'xast';
import { element } from './xml-tree';

export type PaperName = 'a4' | 'letter';
export interface Paper {
  readonly width: number;
  readonly height: number;
}
/** ISO 216 A4; US letter (ANSI/ASME Y14.1). */
export const PAPERS: Readonly<Record<PaperName, Paper>> = {
  a4: { width: 2100, height: 2970 },
  letter: { width: 2159, height: 2794 },
};
export const MARGIN = 150;
/** Serif faces that are found nearly everywhere. */
const FACES = "Georgia, 'Times New Roman', 'Liberation Serif', serif";

export interface TextStyle {
  readonly size: number;
  readonly anchor?: 'start' | 'middle' | 'end';
  readonly italic?: boolean;
  readonly bold?: boolean;
}

export const line = (x: number, y: number, value: string, style: TextStyle): Element =>
  element(
    'text',
    {
      x: String(x),
      y: String(y),
      'font-size': `${style.size}px`,
      ...(style.anchor === undefined ? {} : { 'text-anchor': style.anchor }),
      ...(style.italic === true ? { 'font-style': 'italic' } : {}),
      ...(style.bold === true ? { 'font-weight': 'bold' } : {}),
    },
    { type: 'text', value },
  );

/** A whole sheet; `font` (base64 WOFF2) is carried along for signs in words, where it is given. */
export function sheet(
  paper: Paper,
  label: string,
  font: string | null,
  children: readonly Element[],
): Element {
  const face =
    font === null
      ? []
      : [
          element(
            'style',
            { type: 'text/css' },
            {
              type: 'text',
              value: `@font-face{font-family:Leipzig;src:url(data:font/woff2;base64,${font}) format("woff2")}`,
            },
          ),
        ];
  return element(
    'svg',
    {
      xmlns: 'http://www.w3.org/2000/svg',
      width: `${paper.width / 10}mm`,
      height: `${paper.height / 10}mm`,
      viewBox: `0 0 ${paper.width} ${paper.height}`,
      color: '#000',
      fill: 'currentColor',
      'font-family': FACES,
      role: 'img',
      'aria-label': label,
    },
    ...face,
    ...children,
  );
}
