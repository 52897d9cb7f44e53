// Every family of figures in seven metres, as files: valid, full bars, the same notes with the same onsets and durations
// in an engraver's time map, the same notes, tempo and metre in another MIDI library, the same part when read again.
import MIDIFile from 'midifile';
import createVerovioModule from 'verovio/wasm';
import { VerovioToolkit } from 'verovio/esm';
import { beforeAll, describe, expect, it } from 'vitest';
import { FAMILIES } from '../../src/figures/families';
import { perform } from '../../src/harp/performance';
import type { PlannedPassage } from '../../src/harp/planned';
import { writeMidi } from '../../src/interchange/midi-write';
import { readMusicXml } from '../../src/interchange/musicxml-read';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { midiOf } from '../../src/music/pitch';
import { propose } from '../../src/proposals/propose';
import { heard, unknownRemarks } from './known-gaps';
import { METRES, Q } from './passages';
import { hasSchema, schemaErrors } from './schema';
import { walk } from './walk';
import { OPTIONS } from './writer-options';

interface File {
  readonly name: string;
  readonly family: string;
  readonly planned: PlannedPassage;
  readonly xml: string;
}

const TEXT = 'Ab | Fm7 Bb7 | Eb/G | Gb';
const ENOUGH = 24;

function filesIn(metre: (typeof METRES)[number]): File[] {
  const { proposals } = propose({
    ...{ text: TEXT, metre, milliBpm: 66_000, seed: 'w', count: 40, families: [], start: null },
    ...{ aim: 'practical' as const, key: null, title: 'x' },
  });
  const first = new Map(proposals.map(({ family, planned }) => [family, planned]));
  return [...first].map(([family, planned]) => ({
    ...{ name: `${family} in ${metre.beats}/${metre.unit}`, family, planned },
    xml: writeMusicXml(planned),
  }));
}

describe('every family in seven metres', () => {
  let files: File[] = [];
  beforeAll(() => {
    files = METRES.flatMap(filesIn);
  }, 120_000);

  it('is there', () => {
    expect(FAMILIES.length).toBeGreaterThanOrEqual(ENOUGH);
    const metresOf = (family: string): number => files.filter((file) => file.family === family).length;
    expect(new Set(files.map(({ family }) => family)).size).toBeGreaterThanOrEqual(ENOUGH);
    // Some figures are in three, some in four: so many stand in all seven or nearly.
    const wide = FAMILIES.filter(({ id }) => metresOf(id) >= 6);
    expect(wide.length).toBeGreaterThanOrEqual(ENOUGH / 2);
    expect(files.length).toBeGreaterThanOrEqual(7 * ENOUGH);
  });

  it.skipIf(!hasSchema)('is valid', () => {
    expect(files.flatMap(({ name, xml }) => schemaErrors(xml)?.replace(/^/, `${name}: `) ?? [])).toEqual([]);
  });

  it.skipIf(!hasSchema)('is valid under every option', () => {
    const faults: string[] = [];
    const seen = new Set<number>();
    // Every family with every option over the metres; each metre has all families and all options.
    files.forEach(({ name, planned }, i) => {
      for (const shift of [0, 3, 6]) {
        const n = (i + shift) % OPTIONS.length;
        seen.add(n);
        const errors = schemaErrors(writeMusicXml(planned, OPTIONS[n]));
        if (errors !== null) faults.push(`${name} ${JSON.stringify(OPTIONS[n])}: ${errors}`);
      }
    });
    expect(faults.slice(0, 3)).toEqual([]);
    expect(seen.size).toBe(OPTIONS.length);
  });

  it('fills every voice of every bar', () => {
    let voices = 0;
    for (const { name, planned, xml } of files) {
      walk(xml).bars.forEach((bar, i) => {
        for (const filled of bar.voices.values()) expect(filled, name).toBe(planned.passage.bars[i]?.length);
        expect(bar.backups, name).toBe(bar.voices.size - 1);
        voices += bar.voices.size;
      });
    }
    expect(voices).toBeGreaterThan(files.length * 8);
  });

  it('has the same notes, onsets and durations in verovio’s time map, which says nothing new', async () => {
    interface TimeMap {
      renderToTimemap(options: object): { on?: string[]; off?: string[]; qstamp: number }[];
      getMIDIValuesForElement(id: string): { pitch: number };
    }
    const console = heard();
    const toolkit = new VerovioToolkit(await createVerovioModule());
    toolkit.setOptions({ inputFrom: 'musicxml', breaks: 'none' });
    let notes = 0;
    const faults: string[] = [];
    // An engraver takes its time: every third file, each family in two metres and more; ALL=1 takes every one.
    const taken = files.filter((_, i) => process.env['ALL'] !== undefined || i % 3 === 0);
    expect(new Set(taken.map(({ family }) => family)).size).toBeGreaterThanOrEqual(ENOUGH);
    expect(new Set(taken.map(({ name }) => name.split(' in ')[1])).size).toBe(METRES.length);
    for (const { name, planned, xml } of taken) {
      toolkit.resetXmlIdSeed(1);
      expect(Boolean(toolkit.loadData(xml)), name).toBe(true);
      const on = new Map<string, number>();
      const off = new Map<string, number>();
      const map = toolkit as unknown as TimeMap;
      for (const { on: begins, off: ends, qstamp } of map.renderToTimemap({})) {
        for (const id of begins ?? []) if (!on.has(id)) on.set(id, qstamp);
        for (const id of ends ?? []) off.set(id, qstamp);
      }
      const { passage } = planned;
      const rolled = new Set(passage.rolls.flatMap((roll) => roll.plucks));
      // A note that is tied on ends where its last part does; one whose part a fifth voice cut short rings on.
      const endOf = (id: string): number => {
        let end = off.get(id) ?? NaN;
        for (let part = 1; off.has(`${id}.t${part}`); part++) end = off.get(`${id}.t${part}`) ?? NaN;
        return end;
      };
      for (const { id, onset, duration, pitch } of passage.plucks) {
        notes++;
        const late = (on.get(id) ?? NaN) - onset / Q;
        // Rolled notes are played one after the other, within half a beat.
        const inTime = rolled.has(id) ? late > -1e-3 && late < 0.5 : Math.abs(late) < 1e-3;
        const long = endOf(id) - (onset + duration) / Q;
        if (!inTime) faults.push(`${name} ${id} late ${late}`);
        if (!(Math.abs(long) < 1e-2)) faults.push(`${name} ${id} long ${long}`);
        if (map.getMIDIValuesForElement(id).pitch !== midiOf(pitch)) faults.push(`${name} ${id} pitch`);
      }
      toolkit.renderToSVG(1);
    }
    console.stop();
    expect(faults.slice(0, 5)).toEqual([]);
    expect(console.said().length).toBeGreaterThan(taken.length);
    expect([...new Set(unknownRemarks(console.said()))]).toEqual([]);
    expect(notes).toBeGreaterThan(taken.length * 20);
  }, 120_000);

  it('has the same notes, tempo and metre in a second MIDI library', () => {
    interface Event {
      readonly type: number;
      readonly subtype: number;
      readonly delta: number;
      readonly param1?: number;
      readonly param2?: number;
      readonly tempo?: number;
      readonly data?: number[];
    }
    let notes = 0;
    for (const { name, planned } of files) {
      const file = new MIDIFile(writeMidi(planned).slice().buffer, true);
      const tracks = [0, 1, 2].map((i) => {
        let at = 0;
        return (file.getTrackEvents(i) as Event[]).map((event) => ({ ...event, at: (at += event.delta) }));
      });
      const conductor = tracks[0] ?? [];
      const tempo = conductor.filter((e) => e.type === 0xff && e.subtype === 0x51).map((e) => e.tempo);
      expect(tempo, name).toEqual(
        planned.passage.tempo.map(({ milliBpm }) => Math.round(60_000_000_000 / milliBpm)),
      );
      const time = conductor.find((e) => e.type === 0xff && e.subtype === 0x58);
      const metre = planned.passage.bars[0]?.metre;
      expect([time?.data?.[0], 2 ** (time?.data?.[1] ?? 0)], name).toEqual([metre?.beats, metre?.unit]);
      const struck = tracks
        .slice(1)
        .flat()
        .filter((e) => e.type === 8 && e.subtype === 9 && (e.param2 ?? 0) > 0)
        .map((e) => `${e.at} ${e.param1}`);
      // Two strings of one pitch at one instant are one key.
      const wanted = new Set(perform(planned).map((note) => `${note.tick} ${note.midi}`));
      expect([...new Set(struck)].sort(), name).toEqual([...wanted].sort());
      notes += struck.length;
    }
    expect(notes).toBeGreaterThan(files.length * 20);
  });

  it('is the same part when it is read again', () => {
    let moves = 0;
    for (const { name, planned, xml } of files) {
      const back = readMusicXml(xml);
      if (!back.ok) throw new Error(name);
      const told = ({ plucks, sweeps, trembles, rolls }: PlannedPassage['passage']) => [
        plucks
          .map((p) =>
            [p.id, p.onset, p.duration, midiOf(p.pitch), p.pitch.letter, p.hand, p.technique].join(' '),
          )
          .sort(),
        sweeps.map((s) => [s.id, s.onset, s.duration, s.from, s.to, s.hand].join(' ')).sort(),
        trembles.map((t) => [t.id, t.onset, t.duration, t.notes.length].join(' ')),
        rolls.map((r) => [r.id, r.direction, r.plucks.length].join(' ')).sort(),
      ];
      expect(told(back.value.passage), name).toEqual(told(planned.passage));
      expect(back.value.markings.moves.map((m) => [m.onset, m.letter, m.to].join()).sort(), name).toEqual(
        planned.moves.map((m) => [m.onset, m.letter, m.to].join()).sort(),
      );
      expect(back.value.unread, name).toEqual([]);
      moves += planned.moves.length;
    }
    expect(moves).toBeGreaterThan(100);
  });
});
