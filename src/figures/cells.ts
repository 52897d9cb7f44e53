/** How the play strings of a figure are read: strokes of the hands' notes, rests, holds, and rhythms to deal them on. */

import type { Hand } from '../music/passage';

/** One note of a hand's voicing. */
export interface CellNote {
  readonly hand: Hand;
  /** From the bottom, 1 on; beyond the top it turns back. */
  readonly index: number | 'all' | 'top';
  /** Chord tones by which it is moved up, or down below 0. */
  readonly shift: number;
}
/** Notes of the hands' voicings, struck together or rolled. */
export interface Stroke {
  readonly notes: readonly CellNote[];
  readonly roll: 'up' | 'down' | 'none' | null;
  /** Only the first time that its cell is played on a chord. */
  readonly once: boolean;
}
/** A step of a cell: a stroke, a rest, or the stroke before held on. */
export type Step = Stroke | 'rest' | 'hold';
export type Cell = readonly Step[];

const NOTE_TEXT = String.raw`[LR](?:[1-9]\d?|\*|\^)(?:[+-][1-9])?`;
const NOTE = /([LR])([1-9]\d?|\*|\^)([+-]\d)?/g;
const TOKEN = new RegExp(String.raw`^([~\\=]?)(\[${NOTE_TEXT}(?: ${NOTE_TEXT})*\]|${NOTE_TEXT})(!?)$`);

/** Reads one step; null where it is none. */
function readStep(token: string): Step | null {
  if (token === '.') return 'rest';
  if (token === '-') return 'hold';
  const m = TOKEN.exec(token);
  if (m === null) return null;
  const notes = [...(m[2] as string).matchAll(NOTE)].map((n) => ({
    hand: n[1] as Hand,
    index: n[2] === '*' ? ('all' as const) : n[2] === '^' ? ('top' as const) : Number(n[2]),
    shift: Number(n[3] ?? 0),
  }));
  const roll = m[1] === '~' ? 'up' : m[1] === '\\' ? 'down' : m[1] === '=' ? 'none' : null;
  return { notes, roll, once: m[3] === '!' };
}

/** 'L1 R* [L2 R1]' → its steps; null where a word is no step. */
export function readCell(text: string): Cell | null {
  const tokens = text.match(/[~\\=]?\[[^\]]*\]!?|\S+/g) ?? [];
  const steps = tokens.map(readStep);
  return steps.length > 0 && steps.every((s) => s !== null) ? (steps as Step[]) : null;
}

/** Lengths in steps, rests below 0: '3 1', '.1 1 2'. Null where a word is neither. */
export function readRhythm(text: string): readonly number[] | null {
  const words = text.trim().split(/\s+/);
  if (!words.every((w) => /^\.?[1-9]\d?$/.test(w))) return null;
  return words.map((w) => (w.startsWith('.') ? -Number(w.slice(1)) : Number(w)));
}

/** A cell's strokes in turn on the notes of a rhythm; the cell begins again when it has been through. */
export function deal(strokes: Cell, rhythm: readonly number[]): Cell {
  let k = 0;
  return rhythm.flatMap((length): Step[] => {
    if (length < 0) return Array.from({ length: -length }, () => 'rest' as const);
    const stroke = strokes[k++ % strokes.length] as Step;
    return [stroke, ...Array.from({ length: length - 1 }, () => 'hold' as const)];
  });
}

export const isStroke = (s: Step): s is Stroke => s !== 'rest' && s !== 'hold';

/** Whether a hand plays in a cell. */
export const cellUses = (cell: Cell, hand: Hand): boolean =>
  cell.some((s) => isStroke(s) && s.notes.some((n) => n.hand === hand));
