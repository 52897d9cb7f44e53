/** The engraver in a worker of its own: loaded at the first page asked for. */

import { expose } from 'comlink';
import type { Result } from '../base/result';
import { type Engraver, loadEngraver } from '../engraving/engraver';
import type { EngraveOptions, EngravedPage } from '../engraving/types';

let engraver: Promise<Engraver> | null = null;

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
};
export type EngravingApi = typeof api;

expose(api);
