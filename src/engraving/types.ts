/** What is asked of the engraver and what it answers. */

export interface EngraveOptions {
  /** Width of the place where the page will stand, in CSS pixels. */
  readonly width: number;
  /** Size of the notes: 100 gives a staff of 36 px; 40 suits a screen. */
  readonly scale: number;
  /** One long line instead of systems that fill the width. */
  readonly line?: boolean;
}

export interface EngravedPage {
  /** Cleaned SVG texts, top to bottom. Groups of class `note` carry the ids of the MusicXML. */
  readonly pages: readonly string[];
  /** Music font for text inside the SVG, base64 WOFF2, or null where none is needed. */
  readonly font: string | null;
}
