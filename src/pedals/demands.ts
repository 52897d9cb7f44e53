/** From a passage to demands: at each onset, the partial settings under which everything plucked there sounds right. */

import type { Ticks } from '../base/units';
import { PEDALS, type Position, type Setting, pedalIndex, positionOf } from '../harp/setting';
import { type StringIndex, stringLetter, stringOf } from '../harp/strings';
import type { Passage } from '../music/passage';
import { type Pitch, diatonicIndex, harpSpellings, midiOf } from '../music/pitch';
import { type SpeltGroup, lettersOf, spellingPrice } from './reading';
import { slideTo, slidesWell } from './slide-stops';
import { ALL_FREE, type Partial7, mergePartials, partialOf, restrictSetting } from './tables';
import { type Rates, ratesOf } from './rates';

import type { Group, Note, Option, Span, Spelling, SpellingRules, Stop, Tuning, Way } from './demand-types';

/** The spellings open to a note, the written one first; empty where the instrument has no such string. */
export function openSpellings(note: Note, rules: SpellingRules): Pitch[] {
  const { pitch } = note;
  const { lowest, highest, discless } = rules.instrument;
  const { locked } = rules;
  const all = harpSpellings(midiOf(pitch)).filter((p) => {
    const string = stringOf(p);
    if (string < lowest || string > highest) return false;
    const stands = locked?.[p.letter];
    return stands === undefined || stands === p.alter || discless.includes(string);
  });
  const written = all.filter((p) => p.letter === pitch.letter && p.alter === pitch.alter);
  if (Math.abs(pitch.alter) <= 1 && (rules.keepSpelling || note.fixed === true)) return written;
  return [...written, ...all.filter((p) => !written.includes(p))];
}

function groupsOf(notes: readonly Note[], rules: SpellingRules, tuning: Tuning): Group[] {
  const byString = new Map<number, Note[]>();
  for (const note of notes) {
    const key =
      1000 * midiOf(note.pitch) + (Math.abs(note.pitch.alter) > 1 ? 500 : stringOf(note.pitch) + 100);
    byString.set(key, [...(byString.get(key) ?? []), note]);
  }
  // A doubly altered note has no string of its own as written: it joins a note of its pitch where there is one.
  for (const [key, list] of byString) {
    const home = [...byString.keys()].find(
      (k) => k !== key && Math.floor(k / 1000) === Math.floor(key / 1000),
    );
    if (key % 1000 !== 500 || home === undefined) continue;
    byString.set(home, [...(byString.get(home) as Note[]), ...list]);
    byString.delete(key);
  }
  return [...byString.entries()]
    .sort((a, b) => a[0] - b[0])
    .map(([key, list]) => {
      const open = list.map((n) => openSpellings(n, rules));
      const common = (open[0] as Pitch[]).filter((p) =>
        open.every((o) => o.some((q) => q.letter === p.letter)),
      );
      const spellings = common.flatMap((pitch): Spelling[] => {
        const string = stringOf(pitch);
        const respelt = list.filter((n) => n.pitch.letter !== pitch.letter).length;
        if (!rules.instrument.discless.includes(string)) {
          return [{ pitch, needs: partialOf(pitch.letter, pitch.alter as Position), respelt }];
        }
        return tuning[string] === pitch.alter ? [{ pitch, needs: ALL_FREE, respelt }] : [];
      });
      const hands = list.flatMap((n) =>
        n.hand === undefined || n.hand === null ? [] : [{ hand: n.hand, asked: diatonicIndex(n.pitch) }],
      );
      return { ids: list.map((n) => n.id), midi: Math.floor(key / 1000), spellings, hands };
    });
}

/** Every consistent choice of spellings: no pedal two ways, no two groups on one string; the worse of two left out. */
function waysOf(groups: readonly Group[], rates: Rates): Way[] {
  const out: Way[] = [];
  const choice: number[] = [];
  const choose = (i: number, needs: Partial7, respelt: number): void => {
    const group = groups[i];
    if (group === undefined) {
      const spelt = groups.map((g, k): SpeltGroup => {
        const { pitch, respelt } = g.spellings[choice[k] as number] as Spelling;
        return { pitch, respelt, plucks: g.ids.length, hands: g.hands };
      });
      const parts = spellingPrice(spelt, rates);
      const price = parts.respelt + parts.sharps + parts.reading + parts.shape;
      const letters = lettersOf(spelt.map((g) => g.pitch));
      out.push({ needs, respelt, price, letters, choice: [...choice] });
      return;
    }
    group.spellings.forEach((spelling, k) => {
      const merged = mergePartials(needs, spelling.needs);
      if (merged < 0) return;
      for (let j = i - 1; j >= 0; j--) {
        const other = (groups[j] as Group).spellings[choice[j] as number] as Spelling;
        if (stringOf(other.pitch) === stringOf(spelling.pitch)) return;
      }
      choice[i] = k;
      choose(i + 1, merged, respelt + spelling.respelt);
      choice.length = i;
    });
  };
  choose(0, ALL_FREE, 0);
  return withoutDominated(out, 2 * rates.flip * groups.length);
}

/** Leaves out ways that need all that another needs, and more or the same, and are dearer by all that flips can save. */
function withoutDominated(ways: Way[], flips: number): Way[] {
  if (ways.length < 2) return ways;
  const sorted = [...ways].sort(
    (a, b) => a.price - b.price || freeCount(b.needs) - freeCount(a.needs) || a.needs - b.needs,
  );
  const kept: Way[] = [];
  for (const way of sorted) {
    if (!kept.some((k) => k.price + flips <= way.price && mergePartials(k.needs, way.needs) === way.needs))
      kept.push(way);
  }
  return kept;
}

function freeCount(p: Partial7): number {
  let n = 0;
  for (let k = 0; k < 7; k++) if (((p >> (2 * k)) & 3) === 3) n++;
  return n;
}

function sweepWays(
  from: StringIndex,
  to: StringIndex,
  settings: readonly Setting[],
  { instrument, locked }: SpellingRules,
  tuning: Tuning,
): Way[] {
  const [low, high] = [
    Math.max(Math.min(from, to), instrument.lowest),
    Math.min(Math.max(from, to), instrument.highest),
  ];
  let pedals = 0;
  const tuned: StringIndex[] = [];
  for (let s = low; s <= high; s++) {
    if (instrument.discless.includes(s)) tuned.push(s);
    else pedals |= 1 << pedalIndex(stringLetter(s));
  }
  const seen = new Set<Partial7>();
  for (const setting of settings) {
    if (!Number.isInteger(setting) || setting < 0 || setting > 2186) continue;
    if (tuned.some((s) => tuning[s] !== positionOf(setting, stringLetter(s)))) continue;
    const needs = restrictSetting(setting, pedals);
    if (mergePartials(needs, lockedPartial(locked)) >= 0) seen.add(needs);
  }
  return [...seen].map((needs) => ({ ...PLAIN, needs }));
}

/** Where the locked pedals stand. */
function lockedPartial(locked: SpellingRules['locked']): Partial7 {
  let out = ALL_FREE;
  if (locked === undefined) return out;
  for (const letter of PEDALS) {
    const position = locked[letter];
    if (position !== undefined) out = mergePartials(out, partialOf(letter, position));
  }
  return out;
}

const PLAIN: Way = { needs: ALL_FREE, respelt: 0, price: 0, letters: new Map(), choice: [] };

function combine(struck: readonly Way[], spans: readonly Span[], onset: Ticks): Option[] {
  let options: Option[] = struck.map((way) => ({
    needs: way.needs,
    respelt: way.respelt,
    price: way.price,
    held: ALL_FREE,
    struck: way,
    spanWays: [],
  }));
  for (const span of spans) {
    const begins = span.onset === onset;
    const next: Option[] = [];
    for (const option of options) {
      for (const way of span.ways) {
        const needs = mergePartials(option.needs, way.needs);
        const held = begins ? option.held : mergePartials(option.held, way.needs);
        if (needs < 0 || held < 0) continue;
        next.push({
          needs,
          respelt: option.respelt + (begins ? way.respelt : 0),
          price: option.price + (begins ? way.price : 0),
          held,
          struck: option.struck,
          spanWays: [...option.spanWays, way],
        });
      }
    }
    options = next;
  }
  return options;
}

/** The stops of a passage under one tuning of the discless strings, sorted by onset. */
export function stopsOf(passage: Passage, rules: SpellingRules, tuning: Tuning): Stop[] {
  const notesAt = new Map<number, Note[]>();
  const spans: Span[] = [];
  const rates = ratesOf(rules);
  const slides = passage.slides ?? [];
  const slid = new Map(slides.map((s) => [s.pluck, s]));
  for (const given of passage.plucks) {
    const pluck = slid.has(given.id) ? { ...given, fixed: true } : given;
    const list = notesAt.get(pluck.onset);
    if (list === undefined) notesAt.set(pluck.onset, [pluck]);
    else list.push(pluck);
  }
  for (const slide of slides) if (!notesAt.has(slide.onset)) notesAt.set(slide.onset, []);
  const endOf = (x: { onset: Ticks; duration: Ticks }): Ticks => (x.onset + Math.max(1, x.duration)) as Ticks;
  for (const tremble of passage.trembles) {
    const groups = groupsOf(tremble.notes, rules, tuning);
    const ways = waysOf(groups, rates);
    if (groups.length > 0)
      spans.push({ id: tremble.id, onset: tremble.onset, end: endOf(tremble), groups, ways });
  }
  for (const pluck of passage.plucks) {
    // What slides is held in its pitch until the slide, and stands anew at that very instant.
    const slide = slid.get(pluck.id);
    if (slide === undefined) continue;
    const needs = partialOf(pluck.pitch.letter, pluck.pitch.alter as Position);
    const ways = slidesWell(pluck, slide, rules) ? [{ ...PLAIN, needs }] : [];
    spans.push({ id: slide.id, onset: pluck.onset, end: slide.onset, groups: [], ways });
  }
  for (const sweep of passage.sweeps) {
    const ways = sweepWays(sweep.from, sweep.to, sweep.settings, rules, tuning);
    spans.push({ id: sweep.id, onset: sweep.onset, end: endOf(sweep), groups: [], ways });
  }
  spans.sort((a, b) => a.onset - b.onset || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0));
  const onsets = [...new Set([...notesAt.keys(), ...spans.map((s) => s.onset)])].sort((a, b) => a - b);
  const known = new Map<
    string,
    { groups: readonly Group[]; ways: readonly Way[]; options: readonly Option[] }
  >();
  let sounding: Span[] = [];
  let next = 0;
  return onsets.map((at): Stop => {
    const onset = at as Ticks;
    sounding = sounding.filter((s) => s.end > onset);
    while (next < spans.length && (spans[next] as Span).onset <= onset) sounding.push(spans[next++] as Span);
    const notes = (notesAt.get(onset) ?? [])
      .map((note) => ({ note, name: noteName(note) }))
      .sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0));
    const key = notes.map((n) => n.name).join(' ');
    let base = known.get(key);
    if (base === undefined) {
      const groups = groupsOf(
        notes.map((n, i) => ({ ...n.note, id: String(i) })),
        rules,
        tuning,
      );
      const ways = groups.length === 0 ? [PLAIN] : waysOf(groups, rates);
      known.set(key, (base = { groups, ways, options: combine(ways, [], onset) }));
    }
    // The groups are shared by equal sets of notes, by position in this order; the ids are their own.
    const groups = base.groups.map((g) => ({
      ...g,
      ids: g.ids.map((i) => (notes[Number(i)] as { note: Note }).note.id),
    }));
    const active = [...sounding];
    const ids = [
      ...notes.map((n) => n.note.id),
      ...active.filter((s) => s.onset === onset).flatMap(idsOfSpan),
    ];
    const plain = active.length === 0 ? base.options : combine(base.ways, active, onset);
    const arrived = slides.filter((s) => s.onset === onset);
    const options = arrived.length === 0 ? plain : plain.flatMap((o) => slideTo(o, arrived));
    return { onset, groups, spans: active, options, ids };
  });
}

const noteName = ({ pitch, fixed, hand }: Note): string =>
  `${pitch.letter}${pitch.alter}.${pitch.octave}${fixed === true ? '!' : ''}${hand ?? ''}`;

const idsOfSpan = (span: Span): string[] =>
  span.groups.length === 0 ? [span.id] : span.groups.flatMap((g) => g.ids);
