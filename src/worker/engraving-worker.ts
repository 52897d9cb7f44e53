/** The engraver in a worker of its own: loaded at the first page asked for. */

import { expose } from 'comlink';
import type { Result } from '../base/result';
import type { PlannedPassage } from '../harp/planned';
import { type Engraver, loadEngraver } from '../engraving/engraver';
import { type PrintOptions, type PrintedPart, type Printer, loadPrinter } from '../engraving/printable';
import type { EngraveOptions, EngravedPage } from '../engraving/types';

let engraver: Promise<Engraver> | null = null;
let printer: Promise<Printer> | null = null;

const api = {
  /** Starts the program without engraving anything, so that the first page comes sooner. */
  async warm(): Promise<void> {
    engraver ??= loadEngraver();
    await engraver;
  },
  async engrave(musicXml: string, options: EngraveOptions): Promise<Result<EngravedPage>> {
    engraver ??= loadEngraver();
    try {
      return (await engraver)(musicXml, options);
    } catch (error) {
      // A damaged part can bring the program down; the next page gets a fresh one.
      engraver = null;
      throw error;
    }
  },
  /** Pages for paper. */
  async print(planned: PlannedPassage, options: PrintOptions): Promise<Result<PrintedPart>> {
    printer ??= loadPrinter();
    try {
      return (await printer)(planned, options);
    } catch (error) {
      printer = null;
      throw error;
    }
  },
};
export type EngravingApi = typeof api;

expose(api);
