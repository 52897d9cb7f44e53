/** Puts engraved pages on paper by the browser's own print, and the page back as it was afterwards. */

const SIZES = { a4: ['210mm', '297mm'], letter: ['215.9mm', '279.4mm'] } as const;
export type Paper = keyof typeof SIZES;

const MARK = 'printing-part';

/** Shows the pages to the printer alone. `pages` are SVG texts of the paper's size, one a sheet. */
export function printPages(pages: readonly string[], paper: Paper): void {
  endPrint();
  const [width, height] = SIZES[paper];
  const style = document.createElement('style');
  style.textContent = `@page { size: ${width} ${height}; margin: 0 }
@media print {
  html.${MARK} body > :not(#print) { display: none !important }
  #print svg { display: block; width: ${width}; height: calc(${height} - 0.1mm); break-after: page }
}
@media screen { #print { display: none } }`;
  const holder = document.createElement('div');
  holder.id = 'print';
  for (const page of pages) {
    const { documentElement } = new DOMParser().parseFromString(page, 'image/svg+xml');
    holder.append(document.adoptNode(documentElement));
  }
  holder.prepend(style);
  document.body.append(holder);
  document.documentElement.classList.add(MARK);
  addEventListener('afterprint', endPrint, { once: true });
  window.print();
}

function endPrint(): void {
  document.getElementById('print')?.remove();
  document.documentElement.classList.remove(MARK);
}
