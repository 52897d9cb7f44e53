/** A score opened for changes: its parts as measures, in partwise and timewise files alike. */

import { TICKS_PER_QUARTER } from '../../../base/units';
import type { NoteSource } from '../read/types';
import { type Node, nodes } from './lossless';
import { type Standing, type Timeline, standingAfter, timelineOf } from './timeline';

const START: Standing = { divisions: 1, fifths: 0, octaves: 0, staves: 1 };

export interface Measure {
  readonly node: Node;
  readonly standing: Standing;
  /** The notes in the order of the file, as they were before any change. */
  readonly notes: readonly Node[];
}

export class OpenedScore {
  readonly root: Node;
  private readonly parts = new Map<string, Measure[]>();
  private ids: Set<string> | null = null;
  /** Spellings touched, by measure: staff, letter and octave; their accidentals are looked at in the end. */
  readonly touched = new Map<Measure, Set<string>>();
  /** Notes that were moved to another voice: what stands for them now. */
  readonly moved = new Map<Node, Node>();

  /** Pitch at which harmonics stand that say neither. */
  readonly harmonics: 'string' | 'sounding';

  constructor(root: Node, harmonics: 'string' | 'sounding' = 'string') {
    this.root = root;
    this.harmonics = harmonics;
    const add = (id: string, measure: Node): void => {
      const own = this.parts.get(id) ?? [];
      this.parts.set(id, own);
      const last = own.at(-1);
      const standing = last === undefined ? START : standingAfter(last.node, last.standing);
      const record = { node: measure, standing, notes: nodes(measure, 'note') };
      own.push(record);
    };
    if (root.name === 'score-timewise') {
      for (const measure of nodes(root, 'measure')) {
        for (const part of nodes(measure, 'part')) add(part.attributes.id ?? '', part);
      }
    } else {
      for (const part of nodes(root, 'part')) {
        for (const measure of nodes(part, 'measure')) add(part.attributes.id ?? '', measure);
      }
    }
  }

  measures(part: string): readonly Measure[] {
    return this.parts.get(part) ?? [];
  }

  note(source: NoteSource): { measure: Measure; note: Node } | null {
    const measure = this.measures(source.part)[source.measure];
    const note = measure?.notes[source.note];
    if (measure === undefined || note === undefined) return null;
    return { measure, note: this.moved.get(note) ?? note };
  }

  /** The timeline of a measure as it stands now. */
  timeline(measure: Measure): Timeline {
    return timelineOf(measure.node, measure.standing);
  }

  divisions(measure: Measure, ticks: number): number {
    const { divisions } = standingAfter(measure.node, measure.standing);
    return Math.round(((ticks * divisions) / TICKS_PER_QUARTER) * 1e6) / 1e6;
  }

  touch(measure: Measure, place: string): void {
    const set = this.touched.get(measure) ?? new Set();
    this.touched.set(measure, set.add(place));
  }

  /** An `id` that no element has: the one wanted, or with a number after it. */
  freeId(wanted: string): string {
    if (this.ids === null) {
      const found = new Set<string>();
      const walk = (node: Node): void => {
        if (node.attributes.id !== undefined) found.add(node.attributes.id);
        for (const child of nodes(node)) walk(child);
      };
      walk(this.root);
      this.ids = found;
    }
    const base = (/^[A-Za-z_]/.test(wanted) ? wanted : `n${wanted}`).replace(/[^A-Za-z0-9_.-]/g, '_');
    let id = base;
    for (let i = 2; this.ids.has(id); i++) id = `${base}_${i}`;
    this.ids.add(id);
    return id;
  }
}
