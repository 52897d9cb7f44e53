// Idiom: a thousand generated parts beside the published ones, by the same counts.
import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { seededRandom } from '../../src/base/random';
import { FAMILIES } from '../../src/figures/families';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { parseProgression } from '../../src/harmony/progression';
import { readPart } from '../../src/interchange/read-part';
import type { Passage } from '../../src/music/passage';
import { midiOf } from '../../src/music/pitch';
import { assignHands } from '../../src/playability/hands';
import { MEASURES, type Measured, measure, nothing } from './_idiom-measures';
import type { Measure } from './main';

const PARTS = new URL('../../../shared/data/harp-parts/', import.meta.url);
const TEXTS = [
  'Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9 | Abmaj7 | Am7b5 D7b9 | Gm7 C7 | Fm7 Bb13',
  'C | Am | F | G7 | C | Am | Dm7 G7 | C',
  'Gm | Eb | Cm | D7 | Gm/D | Cm/Eb | D7 | Gm',
  'Ab | Db/Ab | Eb7/G | Ab | Fm | Bbm | Eb7 | Ab',
];
const GENERATED = 1000;

interface Close {
  thin: number;
  root: number;
  parts: number;
  moved: number;
  best: number;
  movedAll: number;
  bestAll: number;
}

/** Strings of the right hand's chords of three notes and more, as keys from low to high, by onset. */
function chordsStruck(passage: Passage, from: number, to: number): number[][] {
  const out = new Map<number, number[]>();
  for (const p of passage.plucks)
    if (p.hand === 'R' && p.onset >= from && p.onset < to)
      out.set(p.onset, [...(out.get(p.onset) ?? []), midiOf(p.pitch)]);
  return [...out.values()].filter((c) => c.length >= 3).map((c) => c.sort((a, b) => a - b));
}

/** Semitones that the notes of a chord move, in order, to those of another of as many notes. */
const way = (a: readonly number[], b: readonly number[]): number =>
  b.reduce((sum, m, i) => sum + Math.abs(m - (a[i] as number)), 0);

/** Every inversion of a chord: its lowest note over its top, or its top under its lowest, and so on. */
function inversions(chord: readonly number[]): number[][] {
  const turn = (c: readonly number[], up: boolean): number[] => {
    const [first, last] = [c[0] as number, c.at(-1) as number];
    const octaves = 12 * Math.ceil((last - first + 1) / 12);
    return up ? [...c.slice(1), first + octaves] : [last - octaves, ...c.slice(0, -1)];
  };
  const out = [[...chord]];
  for (const up of [true, false]) {
    let c: number[] = [...chord];
    for (let i = 0; i < 2 * chord.length; i++) out.push((c = turn(c, up)));
  }
  return out;
}

/** How far the middle of all that the right hand plays moves, lines and sweeps too, and could, a note of it lowest. */
function middles(passage: Passage, [from, at, to]: readonly [number, number, number], into: Close): void {
  const inside = (a: number, b: number): number[] =>
    passage.plucks.filter((p) => p.hand === 'R' && p.onset >= a && p.onset < b).map((p) => midiOf(p.pitch));
  const [before, after] = [inside(from, at), inside(at, to)];
  if (before.length === 0 || after.length === 0) return;
  const middle = (x: number[]): number => (Math.min(...x) + Math.max(...x)) / 2;
  const half = (Math.max(...after) - Math.min(...after)) / 2;
  const places = after.flatMap((m) => [1, 2, 3, 4, 5, 6, 7, 8].map((o) => (m % 12) + 12 * o + half));
  into.movedAll += Math.abs(middle(after) - middle(before));
  into.bestAll += Math.min(...places.map((m) => Math.abs(m - middle(before))));
}

/** Where the right hand strikes chords of as many notes on both sides of a change: how far its notes move, and could. */
function displacement(passage: Passage, [from, at, to]: readonly number[], into: Close): void {
  middles(passage, [from as number, at as number, to as number], into);
  const before = chordsStruck(passage, from as number, at as number).at(-1);
  const after = chordsStruck(passage, at as number, to as number)[0];
  if (before === undefined || after?.length !== before.length) return;
  into.moved += way(before, after);
  into.best += Math.min(...inversions(after).map((c) => way(before, c)));
}

/** Generated parts at ♩ = 90, families and progressions in turn, and how they close. */
function ours(into: Measured): Close {
  const close: Close = { thin: 0, root: 0, parts: 0, moved: 0, best: 0, movedAll: 0, bestAll: 0 };
  for (let i = 0; close.parts < GENERATED && i < 3 * GENERATED; i++) {
    const family = FAMILIES[i % FAMILIES.length] as (typeof FAMILIES)[0];
    const text = TEXTS[Math.floor(i / FAMILIES.length) % TEXTS.length] as string;
    const progression = parseProgression(text, { metre: { beats: 4, unit: 4 }, key: null });
    const random = seededRandom(`idiom ${i}`);
    const draft = family.draft({
      progression,
      title: '',
      milliBpm: 90_000,
      instrument: CONCERT_HARP,
      random,
    });
    if (!draft.ok) continue;
    const { passage } = draft.value;
    const changes = progression.chords.map((c) => c.onset as number);
    measure(passage, changes, into);
    close.parts++;
    const last = progression.chords.at(-1);
    const from = changes.at(-1) as number;
    const final = passage.plucks.filter((p) => p.onset >= from);
    const density = (a: number, b: number): number =>
      new Set(passage.plucks.filter((p) => p.onset >= a && p.onset < b).map((p) => p.onset)).size / (b - a);
    const end = from + (last?.duration ?? 1);
    const before = changes.slice(0, -1).map((c, k) => density(c, changes[k + 1] as number));
    if (density(from, end) <= Math.max(...before)) close.thin++;
    const chord = last?.chord;
    const home = chord?.tones.find((t) => t.degree === 1)?.pc;
    if (final.some((p) => p.ring === true && midiOf(p.pitch) % 12 === home)) close.root++;
    for (let k = 1; k < changes.length; k++) {
      const to = changes[k + 1] ?? Infinity;
      displacement(passage, [changes[k - 1] as number, changes[k] as number, to], close);
    }
  }
  return close;
}

/** The published parts; their bars stand for chord changes, since they name no chords. */
function published(into: Measured): number {
  if (!existsSync(PARTS)) return 0;
  const files = readdirSync(PARTS).filter((f) => f.endsWith('.musicxml'));
  for (const file of files) {
    const read = readPart(file, readFileSync(new URL(file, PARTS)));
    if (!read.ok) continue;
    const passage = assignHands(read.value.passage);
    measure(
      passage,
      passage.bars.map((b) => b.start),
      into,
    );
  }
  return files.length;
}

const value = (m: Measured, name: (typeof MEASURES)[number]): number =>
  m[name].b === 0 ? Number.NaN : ((name.endsWith('%') ? 100 : 1) * m[name].a) / m[name].b;

export async function bench(): Promise<Measure[]> {
  const [mine, theirs] = [nothing(), nothing()];
  const close = ours(mine);
  const parts = published(theirs);
  const unit = (name: string): string => (name.endsWith('%') ? '%' : '');
  const rows = MEASURES.flatMap((name): Measure[] => [
    { name: `${name.replace(', %', '')}: ours`, value: value(mine, name), unit: unit(name) },
    ...(parts > 0 ? [{ name: '  published', value: value(theirs, name), unit: unit(name) }] : []),
  ]);
  return [
    { name: 'generated parts', value: close.parts, unit: '' },
    { name: 'published parts', value: parts, unit: '' },
    ...rows,
    {
      name: 'last chord no busier than the others: ours',
      value: (100 * close.thin) / close.parts,
      unit: '%',
    },
    { name: 'last chord rings on its root: ours', value: (100 * close.root) / close.parts, unit: '%' },
    {
      name: 'displacement of struck chords beside the best inversion: ours',
      value: close.moved / close.best,
      unit: '×',
    },
    {
      name: '  the middle of all that the right hand plays, lines too',
      value: close.movedAll / close.bestAll,
      unit: '×',
    },
  ];
}
