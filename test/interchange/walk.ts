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

/** Notes and bars of the first part. */
export function walk(xml: string): { notes: WalkedNote[]; bars: WalkedBar[] } {
  const doc = XmlDocument.fromString(xml);
  const notes: WalkedNote[] = [];
  const bars: WalkedBar[] = [];
  const all = (from: XmlElement, path: string) => from.find(path) as XmlElement[];
  const one = (from: XmlElement, path: string) => from.get(path)?.content ?? null;
  let divisions = 1;
  let beats = 4;
  let unit = 4;
  all(doc.root, 'part[1]/measure').forEach((measure, bar) => {
    let at = 0;
    let reach = 0;
    let start = 0;
    let backups = 0;
    const voices = new Map<string, number>();
    for (const element of all(measure, '*')) {
      const duration = Number(one(element, 'duration') ?? 0);
      if (element.name === 'attributes') {
        divisions = Number(one(element, 'divisions') ?? divisions);
        beats = Number(one(element, 'time/beats') ?? beats);
        unit = Number(one(element, 'time/beat-type') ?? unit);
      } else if (element.name === 'backup') {
        at -= duration;
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
