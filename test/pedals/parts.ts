// Reads the shared harp parts with a small walk of our own, independent of the project's MusicXML reader.
import { readFileSync, readdirSync, existsSync } from 'node:fs';
import { SaxesParser } from 'saxes';
import { ticks } from '../../src/base/units';
import type { Bar } from '../../src/music/metre';
import type { Passage, Pluck } from '../../src/music/passage';
import type { Alter, Letter } from '../../src/music/pitch';

const FOLDER = new URL('../../../shared/data/harp-parts/', import.meta.url);
export const partsPresent = existsSync(FOLDER);
export const partNames = partsPresent
  ? readdirSync(FOLDER)
      .filter((f) => f.endsWith('.musicxml'))
      .map((f) => f.replace('.musicxml', ''))
      .sort()
  : [];

interface NoteState {
  step: string;
  alter: number;
  octave: number;
  duration: number;
  rest: boolean;
  chord: boolean;
  grace: boolean;
  tieStop: boolean;
}

/** Notes, bars and key of the one part in a file; ties joined, grace notes left out, repeats not unfolded. */
export function readPart(name: string): Passage {
  const plucks: Pluck[] = [];
  const bars: Bar[] = [];
  let [fifths, seenKey] = [0, false];
  let [divisions, beats, unit] = [1, 4, 4];
  let [now, last, barStart, furthest] = [0, 0, 0, 0];
  let text = '';
  let barNumber = '';
  let note: NoteState | null = null;
  let place: 'note' | 'backup' | 'forward' | null = null;
  // Counted in the file's divisions, which here stay the same throughout, and rounded once.
  const scale = (d: number): number => Math.round((d * 3360) / divisions);
  const parser = new SaxesParser();
  parser.on('opentag', (tag) => {
    text = '';
    if (tag.name === 'measure') {
      barNumber = String(tag.attributes['number']);
      [barStart, now, furthest] = [furthest, furthest, furthest];
    } else if (tag.name === 'note') {
      place = 'note';
      note = {
        step: 'C',
        alter: 0,
        octave: 4,
        duration: 0,
        rest: false,
        chord: false,
        grace: false,
        tieStop: false,
      };
    } else if (tag.name === 'backup' || tag.name === 'forward') place = tag.name;
    else if (note !== null) {
      if (tag.name === 'rest') note.rest = true;
      if (tag.name === 'chord') note.chord = true;
      if (tag.name === 'grace') note.grace = true;
      if (tag.name === 'tie' && tag.attributes['type'] === 'stop') note.tieStop = true;
    }
  });
  parser.on('text', (t) => (text += t));
  parser.on('closetag', (tag) => {
    const n = Number(text.trim());
    if (tag.name === 'divisions') divisions = n;
    else if (tag.name === 'beats') beats = n;
    else if (tag.name === 'beat-type') unit = n;
    else if (tag.name === 'fifths' && !seenKey) [fifths, seenKey] = [n, true];
    else if (note !== null && tag.name === 'step') note.step = text.trim();
    else if (note !== null && tag.name === 'alter') note.alter = n;
    else if (note !== null && tag.name === 'octave') note.octave = n;
    else if (tag.name === 'duration') {
      if (place === 'backup') now -= n;
      else if (place === 'forward') furthest = Math.max(furthest, (now += n));
      else if (note !== null) note.duration = n;
    } else if (tag.name === 'note' && note !== null) {
      const onset = note.chord ? last : now;
      if (!note.rest && !note.grace && !note.tieStop) {
        plucks.push({
          id: `n${plucks.length}`,
          onset: ticks(scale(onset)),
          duration: ticks(scale(note.duration)),
          pitch: { letter: note.step as Letter, alter: note.alter as Alter, octave: note.octave },
          hand: null,
          finger: null,
          technique: 'ordinary',
          dynamic: 'mf',
        });
      }
      if (!note.chord && !note.grace) [last, now] = [now, now + note.duration];
      furthest = Math.max(furthest, now);
      [note, place] = [null, null];
    } else if (tag.name === 'measure') {
      bars.push({
        index: bars.length,
        number: barNumber,
        start: ticks(scale(barStart)),
        length: ticks(scale(furthest) - scale(barStart)),
        metre: { beats, unit },
      });
    }
  });
  parser.write(readFileSync(new URL(`${name}.musicxml`, FOLDER), 'utf8')).close();
  plucks.sort((a, b) => a.onset - b.onset);
  return {
    title: name,
    bars,
    tempo: [],
    fifths,
    plucks,
    rolls: [],
    sweeps: [],
    trembles: [],
    chords: [],
    damps: [],
  };
}
