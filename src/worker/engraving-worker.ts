/** The engraver in a worker of its own: loaded at the first page asked for. Parts are written out here, off the page. */

import { expose } from 'comlink';
import { type Result, ok } from '../base/result';
import type { PlannedPassage } from '../harp/planned';
import { type Engraver, loadEngraver } from '../engraving/engraver';
import { type PrintOptions, type PrintedPart, type Printer, loadPrinter } from '../engraving/printable';
import type { EngraveOptions, EngravedPage, EngravedSystem } from '../engraving/types';
import { type MusicXmlOptions, writeMusicXml } from '../interchange/musicxml-write';

export interface EngraveQuestion {
  /** The score on the page that asks. */
  readonly place: number;
  readonly planned: PlannedPassage;
  readonly music: MusicXmlOptions;
  readonly options: EngraveOptions;
  /** Keys of the systems that the page shows already: they come back by name alone. */
  readonly have: readonly string[];
  /** Whether the first systems of a long part may be answered alone; `rest` answers with all. */
  readonly early: boolean;
}

export interface SentPage extends Omit<EngravedPage, 'systems'> {
  readonly systems: readonly (Pick<EngravedSystem, 'key'> & { readonly svg: string | null })[];
}

/** Bars that fill the first screen or so. */
const EARLY_BARS = 12;

let engraver: Promise<Engraver> | null = null;
let printer: Promise<Printer> | null = null;
/** What each place asked for last. */
const asked = new Map<number, { readonly musicXml: string; readonly options: EngraveOptions }>();

async function engraved(
  musicXml: string,
  options: EngraveOptions,
  have: readonly string[],
): Promise<Result<SentPage>> {
  engraver ??= loadEngraver();
  try {
    const answer = (await engraver)(musicXml, options);
    if (!answer.ok) return answer;
    const known = new Set(have);
    const systems = answer.value.systems.map(({ key, svg }) => ({ key, svg: known.has(key) ? null : svg }));
    return ok({ ...answer.value, systems });
  } catch (error) {
    // A damaged part can bring the program down; the next page gets a fresh one.
    engraver = null;
    throw error;
  }
}

const api = {
  /** Starts the program without engraving anything, so that the first page comes sooner. */
  async warm(): Promise<void> {
    engraver ??= loadEngraver();
    await engraver;
  },
  async engrave({ place, planned, music, options, have, early }: EngraveQuestion): Promise<Result<SentPage>> {
    const musicXml = writeMusicXml(planned, music);
    asked.set(place, { musicXml, options });
    return engraved(musicXml, early ? { ...options, early: EARLY_BARS } : options, have);
  },
  /** All systems of what a place asked for last. */
  async rest(place: number, have: readonly string[]): Promise<Result<SentPage>> {
    const last = asked.get(place);
    if (last === undefined) throw new Error('nothing was asked for');
    return engraved(last.musicXml, last.options, have);
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
