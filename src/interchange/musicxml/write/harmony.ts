/** Chord symbols as `harmony` elements. */

import type { Element } from 'xast';
import type { HarmonyMark } from '../../../music/passage';
import { cleanText, el, text } from './xml';

/** The values of `kind` (W3C MusicXML 4.0 schema, kind-value). */
const KINDS: ReadonlySet<string> = new Set(
  `major minor augmented diminished dominant major-seventh minor-seventh diminished-seventh augmented-seventh
  half-diminished major-minor major-sixth minor-sixth dominant-ninth major-ninth minor-ninth dominant-11th
  major-11th minor-11th dominant-13th major-13th minor-13th suspended-second suspended-fourth Neapolitan Italian
  French German pedal power Tristan other none`.split(/\s+/),
);

/** What stands after the root and before the slash in a symbol as typed: '7♭9' of 'A7b9/C#'; null if unlike. */
function suffix(mark: HarmonyMark): string | null {
  const parts = /^([A-G])(?:bb|##|[b♭#♯𝄪𝄫])?(.*?)(?:\/[A-G][b♭#♯]?)?$/u.exec(mark.text.trim());
  if (mark.root === null || parts?.[1] !== mark.root.letter) return null;
  return (parts[2] as string).replace(/b(?=\d)/g, '♭').replace(/#(?=\d)/g, '♯');
}

/** The element; `offset` in divisions where the chord does not begin with a note of its voice. */
export function harmonyElement(mark: HarmonyMark, offset: number): Element {
  const kind = KINDS.has(mark.kind) ? mark.kind : 'other';
  const end = offset === 0 ? null : text('offset', offset);
  if (mark.root === null) {
    const silent = text('root-step', 'C', { text: '' });
    return el(
      'harmony',
      { placement: 'above', 'print-frame': 'no' },
      el('root', {}, silent),
      text('kind', 'none', { text: 'N.C.' }),
      end,
      text('staff', 1),
    );
  }
  const shown = suffix(mark);
  const alter = (name: string, value: number) => (value === 0 ? null : text(name, value));
  return el(
    'harmony',
    { placement: 'above', 'print-frame': 'no' },
    el('root', {}, text('root-step', mark.root.letter), alter('root-alter', mark.root.alter)),
    text('kind', kind, shown === null ? {} : { text: cleanText(shown) }),
    mark.bass === null
      ? null
      : el('bass', {}, text('bass-step', mark.bass.letter), alter('bass-alter', mark.bass.alter)),
    ...mark.degrees.map((degree) =>
      el(
        'degree',
        shown === null ? {} : { 'print-object': 'no' },
        text('degree-value', degree.value),
        text('degree-alter', degree.alter),
        text('degree-type', degree.type),
      ),
    ),
    end,
    text('staff', 1),
  );
}
