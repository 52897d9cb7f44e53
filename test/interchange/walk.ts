// A plain walk through MusicXML with another parser than ours: what a stranger would count.
import { XmlDocument, type XmlElement } from 'libxml2-wasm';

export interface WalkedNote {
  readonly id: string | null;
  readonly bar: number;
  readonly at: number;
  readonly duration: number;
  readonly voice: string;
  readonly staff: string;
  readonly rest: boolean;
  readonly grace: boolean;
  readonly tieStop: boolean;
  readonly tieStart: boolean;
  /** Place among the `note` elements of its bar, from 0. */
  readonly index: number;
  readonly midi: number;
}
export interface WalkedBar {
  readonly number: string;
  /** Divisions that each voice fills, from first to last note without a gap; -1 where a voice has gaps. */
  readonly voices: ReadonlyMap<string, number>;
  readonly reach: number;
  readonly backups: number;
  readonly divisions: number;
  readonly beats: number;
  readonly unit: number;
}

const SEMITONES: Record<string, number> = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };

/** Notes and bars of the first part, or of the one with an id. */
export function walk(xml: string, id?: string): { notes: WalkedNote[]; bars: WalkedBar[] } {
  const doc = XmlDocument.fromString(xml);
  const notes: WalkedNote[] = [];
  const bars: WalkedBar[] = [];
  const all = (from: XmlElement, path: string) => from.find(path) as XmlElement[];
  const one = (from: XmlElement, path: string) => from.get(path)?.content ?? null;
  let divisions = 1;
  let beats = 4;
  let unit = 4;
  const part = id === undefined ? '1' : `@id='${id}'`;
  all(doc.root, `part[${part}]/measure`).forEach((measure, bar) => {
    let at = 0;
    let reach = 0;
    let start = 0;
    let backups = 0;
    let index = 0;
    const voices = new Map<string, number>();
    for (const element of all(measure, '*')) {
      const duration = Number(one(element, 'duration') ?? 0);
      if (element.name === 'attributes') {
        divisions = Number(one(element, 'divisions') ?? divisions);
        beats = Number(one(element, 'time/beats') ?? beats);
        unit = Number(one(element, 'time/beat-type') ?? unit);
      } else if (element.name === 'backup') {
        // A backup that overshoots ends at the bar's start.
        at = Math.max(0, at - duration);
        backups++;
      } else if (element.name === 'forward') at += duration;
      else if (element.name === 'note') {
        const chord = element.get('chord') !== null;
        const grace = element.get('grace') !== null;
        const voice = one(element, 'voice') ?? '1';
        if (!chord) start = at;
        const step = one(element, 'pitch/step');
        notes.push({
          id: element.attr('id')?.value ?? null,
          bar,
          at: start,
          duration,
          voice,
          staff: one(element, 'staff') ?? '1',
          rest: element.get('rest') !== null,
          grace,
          tieStop: all(element, 'tie').some((tie) => tie.attr('type')?.value === 'stop'),
          tieStart: all(element, 'tie').some((tie) => tie.attr('type')?.value === 'start'),
          index: index++,
          midi:
            step === null
              ? -1
              : 12 * (Number(one(element, 'pitch/octave')) + 1) +
                (SEMITONES[step] ?? 0) +
                Number(one(element, 'pitch/alter') ?? 0),
        });
        if (!chord && !grace) {
          const filled = voices.get(voice) ?? 0;
          voices.set(voice, filled === start ? filled + duration : -1);
          at += duration;
        }
      }
      reach = Math.max(reach, at);
    }
    bars.push({
      number: measure.attr('number')?.value ?? '',
      voices,
      reach,
      backups,
      divisions,
      beats,
      unit,
    });
  });
  doc.dispose();
  return { notes, bars };
}

/** A note that is struck, tied ones in one; in ticks. */
export interface WalkedStroke {
  readonly midi: number;
  readonly bar: number;
  readonly index: number;
  readonly grace: boolean;
  readonly onset: number;
  end: number;
}

/**
 * What is struck, by a rule of two lines: a tied stop goes on from the start of the same key that ended last and was
 * not struck anew; any other note is a stroke. At one instant small notes come first, then stops. Bars end to end.
 */
export function strokes({ notes, bars }: ReturnType<typeof walk>, ticksPerQuarter: number): WalkedStroke[] {
  const starts: number[] = [];
  let start = 0;
  for (const bar of bars) {
    starts.push(start);
    start += Math.round((bar.reach * ticksPerQuarter) / bar.divisions);
  }
  const inTicks = (bar: number, divisions: number): number =>
    (starts[bar] as number) + Math.round((divisions * ticksPerQuarter) / (bars[bar]?.divisions ?? 1));
  const timed = notes
    .filter((note) => !note.rest)
    .map((note) => ({
      note,
      onset: inTicks(note.bar, note.at),
      end: inTicks(note.bar, note.at + (note.grace ? 0 : note.duration)),
      turn: note.grace ? 0 : note.tieStop ? 1 : 2,
    }))
    .sort((a, b) => a.onset - b.onset || a.turn - b.turn);
  const out: WalkedStroke[] = [];
  let open: WalkedStroke[] = [];
  for (const { note, onset, end } of timed) {
    const { midi, bar, index, grace } = note;
    const before = open.filter((stroke) => stroke.midi === midi && stroke.end <= onset);
    const from = before.sort((a, b) => b.end - a.end)[0];
    if (note.tieStop && from !== undefined) {
      from.end = end;
      if (!note.tieStart) open = open.filter((stroke) => stroke !== from);
      continue;
    }
    const stroke = { midi, bar, index, grace, onset, end };
    out.push(stroke);
    if (!grace) open = open.filter((other) => !before.includes(other));
    if (note.tieStart) open.push(stroke);
  }
  return out;
}
