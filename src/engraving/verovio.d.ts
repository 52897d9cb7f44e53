// What we use of verovio, which ships no types of its own (verovio 6.3, reference book at book.verovio.org).

declare module 'verovio/wasm' {
  /** Starts the WebAssembly module; the bytes are part of the file. */
  export default function createVerovioModule(): Promise<unknown>;
}

declare module 'verovio/esm' {
  export interface VerovioOptions {
    readonly pageWidth?: number;
    readonly pageHeight?: number;
    readonly pageMarginLeft?: number;
    readonly pageMarginRight?: number;
    readonly pageMarginTop?: number;
    readonly pageMarginBottom?: number;
    readonly adjustPageHeight?: boolean;
    readonly adjustPageWidth?: boolean;
    readonly scale?: number;
    readonly header?: 'none' | 'auto' | 'encoded';
    readonly footer?: 'none' | 'auto' | 'encoded' | 'always';
    readonly breaks?: 'auto' | 'none' | 'encoded' | 'line' | 'smart';
    /** How full a system must be for a written break to be taken where breaks are 'smart': 0 takes all, 1 none. */
    readonly breaksSmartSb?: number;
    readonly svgViewBox?: boolean;
    readonly svgRemoveXlink?: boolean;
    readonly smuflTextFont?: 'embedded' | 'linked' | 'none';
    readonly octaveAlternativeSymbols?: boolean;
    readonly multiRestStyle?: 'auto' | 'default' | 'block' | 'symbols';
    readonly spacingSystem?: number;
    readonly spacingStaff?: number;
    readonly justifyVertically?: boolean;
    readonly condenseFirstPage?: boolean;
    readonly inputFrom?: 'musicxml' | 'mei';
    /** Share of the width from which a last system is stretched to the whole. */
    readonly minLastJustification?: number;
  }
  export const LOG_OFF: number;
  export function enableLog(level: number, module: unknown): void;
  export class VerovioToolkit {
    constructor(module: unknown);
    setOptions(options: VerovioOptions): void;
    resetXmlIdSeed(seed: number): void;
    /** False where the data could not be read. */
    loadData(data: string): boolean;
    getPageCount(): number;
    /** The page, from 1, on which the element of an id is drawn; 0 where it is not. */
    getPageWithElement(id: string): number;
    /** 1-based page. */
    renderToSVG(page: number): string;
    /** Draws only a range of measures, by place, '3-8'; everything with {}. In force from the next layout on. */
    select(what: { readonly measureRange?: string }): boolean;
    /** Lays out what is loaded under the options of now. */
    redoLayout(): void;
    destroy(): void;
  }
}
