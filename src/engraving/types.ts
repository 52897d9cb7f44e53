/** What is asked of the engraver and what it answers. */

export interface EngraveOptions {
  /** Width of the place where the page will stand, in CSS pixels. */
  readonly width: number;
  /** Size of the notes: 100 gives a staff of 36 px; 40 suits a screen. */
  readonly scale: number;
  /** One long line instead of systems that fill the width. */
  readonly line?: boolean;
  /** Only the systems that so many first bars fill: what is seen first, sooner. The next call goes on from there. */
  readonly early?: number;
}

/** One system of the page. */
export interface EngravedSystem {
  /** Equal for systems that look the same: what the page shows already is not drawn again. */
  readonly key: string;
  /** Cleaned SVG. Groups of class `note` carry the ids of the MusicXML. */
  readonly svg: string;
}

export interface EngravedPage {
  /** Top to bottom. */
  readonly systems: readonly EngravedSystem[];
  /** Whether these are all systems: not so after an `early` answer. */
  readonly complete: boolean;
  /** Music font for text inside the SVG, base64 WOFF2, or null where none is needed. */
  readonly font: string | null;
}
