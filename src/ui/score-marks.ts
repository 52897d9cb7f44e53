/** Marks drawn into an engraved score: a ring with a number at notes that a remark concerns. */

const SVG = 'http://www.w3.org/2000/svg';

function make(name: string, attributes: Readonly<Record<string, string | number>>): SVGElement {
  const e = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) e.setAttribute(key, String(value));
  return e;
}

/** A frame around the head of one note, or none: what is looked at is seen without colour too. */
export function frameNote(score: Element, id: string | null): void {
  for (const frame of score.querySelectorAll('.note-frame')) frame.remove();
  const note = id === null ? null : score.querySelector<SVGGraphicsElement>(`#${CSS.escape(id)}`);
  const head = note?.querySelector<SVGGraphicsElement>('.notehead');
  if (note === null || head === null || head === undefined) return;
  const box = head.getBBox();
  const [x, y, room] = [box.x, box.y, 70];
  const size = { width: box.width + 2 * room, height: box.height + 2 * room };
  note.append(make('rect', { class: 'note-frame', x: x - room, y: y - room, ...size, rx: 60 }));
}

/** Takes the marks of `drawMarks` away again. */
export function clearMarks(score: Element): void {
  for (const mark of score.querySelectorAll('.remark-mark')) mark.remove();
}

/**
 * What is written at each note that a problem concerns: the numbers, from 1, of the problems whose first note it is,
 * parted by commas; nothing at their other notes. `notes` gives ids of note groups by problem.
 */
export function marksAt(notes: readonly (readonly string[])[]): Readonly<Record<string, string>> {
  const numbers: Record<string, string> = {};
  notes.forEach((ids, n) => {
    ids.forEach((id, k) => {
      const here = numbers[id] ?? '';
      numbers[id] = k > 0 ? here : here === '' ? String(n + 1) : `${here},${n + 1}`;
    });
  });
  return numbers;
}

/** Rings the notes of each problem, with what is written at them. Several problems at one note share a ring. */
export function drawMarks(score: Element, marks: Readonly<Record<string, string>>): void {
  clearMarks(score);
  for (const [id, numbers] of Object.entries(marks)) {
    const note = score.querySelector<SVGGraphicsElement>(`#${CSS.escape(id)}`);
    const head = note?.querySelector<SVGGraphicsElement>('.notehead');
    if (note === null || note === undefined || head === null || head === undefined) continue;
    const box = head.getBBox();
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    const r = Math.max(box.width, box.height) * 0.85;
    const mark = make('g', { class: 'remark-mark' });
    mark.append(make('circle', { cx: x, cy: y, r }));
    if (numbers !== '') {
      const text = make('text', { x: x + r * 0.9, y: y - r * 0.75, 'font-size': 260 });
      text.textContent = numbers;
      mark.append(text);
    }
    note.prepend(mark);
  }
}
