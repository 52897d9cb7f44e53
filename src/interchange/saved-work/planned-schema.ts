/** The shape of a planned passage as stored data, with what holds between its parts. */

import * as v from 'valibot';
import type { Ticks } from '../../base/units';
import type { Instrument } from '../../harp/instrument';
import type { Move, PlannedPassage } from '../../harp/planned';
import { SETTING_COUNT, positionOf } from '../../harp/setting';
import type { Bar } from '../../music/metre';
import type { Passage, Pluck, Sweep, Tremble, WrittenBar } from '../../music/passage';
import { LETTERS } from '../../music/pitch';

/** Each key of a type, so that a field added to it cannot be forgotten here. */
type Entries<T> = { readonly [K in keyof T]-?: v.GenericSchema };

/** Longest passage: three hours at a quarter of 240, in ticks. */
const MAX_TICKS = 3360 * 240 * 180;
const MOST = 500_000;

const whole = (least: number, most: number) =>
  v.pipe(v.number(), v.integer(), v.minValue(least), v.maxValue(most));
const ticks = v.pipe(
  whole(0, MAX_TICKS),
  v.transform((n) => n as Ticks),
);
const some = v.pipe(
  whole(1, MAX_TICKS),
  v.transform((n) => n as Ticks),
);
const text = v.pipe(v.string(), v.maxLength(1000));
const list = <T extends v.GenericSchema>(of: T) => v.pipe(v.array(of), v.maxLength(MOST));
const optional = <T extends v.GenericSchema>(of: T) => v.exactOptional(of);
const setting = whole(0, SETTING_COUNT - 1);
const position = v.picklist([-1, 0, 1]);
const letter = v.picklist(LETTERS);
const string = whole(-14, 70);
const hand = v.picklist(['R', 'L']);
const staff = v.picklist([1, 2]);
const pitch = v.object({ letter, alter: v.picklist([-2, -1, 0, 1, 2]), octave: whole(-2, 12) });
const dynamic = v.picklist(['ppp', 'pp', 'p', 'mp', 'mf', 'f', 'ff', 'fff']);
const fifths = whole(-7, 7);

const bar = v.object({
  index: whole(0, MOST),
  number: text,
  start: ticks,
  length: some,
  metre: v.object({ beats: whole(1, 128), unit: v.picklist([1, 2, 4, 8, 16, 32, 64]) }),
  written: optional(whole(0, MOST)),
  pass: optional(whole(1, 1000)),
} satisfies Entries<Bar>);

const pluck = v.object({
  id: text,
  onset: ticks,
  duration: some,
  pitch,
  fixed: optional(v.boolean()),
  hand: v.nullable(hand),
  finger: v.nullable(v.picklist([1, 2, 3, 4])),
  technique: v.picklist(['ordinary', 'table', 'harmonic', 'etouffe', 'nail']),
  dynamic,
  ring: optional(v.boolean()),
  staff: optional(staff),
} satisfies Entries<Pluck>);

const sweep = v.object({
  id: text,
  onset: ticks,
  duration: some,
  hand,
  from: string,
  to: string,
  settings: v.pipe(v.array(setting), v.minLength(1), v.maxLength(SETTING_COUNT)),
  dynamic,
} satisfies Entries<Sweep>);

const tremble = v.object({
  id: text,
  onset: ticks,
  duration: some,
  notes: list(v.object({ id: text, pitch, hand, fixed: optional(v.boolean()) })),
  dynamic,
} satisfies Entries<Tremble>);

const spelling = v.nullable(v.object({ letter, alter: whole(-3, 3) }));
const chord = v.object({
  onset: ticks,
  text,
  root: spelling,
  bass: spelling,
  kind: text,
  degrees: list(
    v.object({ value: whole(1, 100), alter: whole(-3, 3), type: v.picklist(['add', 'alter', 'subtract']) }),
  ),
});

const written = v.object({
  number: text,
  repeatStart: optional(v.boolean()),
  repeatEnd: optional(whole(1, 1000)),
  ending: optional(list(whole(1, 1000))),
  segno: optional(v.boolean()),
  coda: optional(v.boolean()),
  jump: optional(v.picklist(['dacapo', 'dalsegno'])),
  toCoda: optional(v.boolean()),
  fine: optional(v.boolean()),
} satisfies Entries<WrittenBar>);

const passage = v.object({
  title: text,
  composer: optional(text),
  bars: list(bar),
  tempo: list(
    v.object({ onset: ticks, milliBpm: whole(1000, 2_000_000), unseen: optional(v.literal(true)) }),
  ),
  fifths,
  plucks: list(pluck),
  rolls: list(v.object({ id: text, plucks: list(text), direction: v.picklist(['up', 'down', 'none']) })),
  sweeps: list(sweep),
  trembles: list(tremble),
  chords: list(chord),
  damps: list(v.object({ onset: ticks, below: optional(string) })),
  keys: optional(list(v.object({ onset: ticks, fifths }))),
  slides: optional(list(v.object({ id: text, pluck: text, onset: ticks, to: pitch }))),
  hairpins: optional(
    list(v.object({ from: ticks, to: ticks, kind: v.picklist(['crescendo', 'diminuendo']) })),
  ),
  rehearsals: optional(list(v.object({ onset: ticks, text }))),
  words: optional(list(v.object({ onset: ticks, text, staff: optional(staff) }))),
  form: optional(list(written)),
  staccato: optional(list(text)),
  sustain: optional(list(v.object({ from: ticks, to: ticks }))),
} satisfies Entries<Passage>);

const instrument = v.object({
  id: text,
  name: text,
  lowest: string,
  highest: string,
  discless: list(string),
  disclessDefault: position,
  source: text,
} satisfies Entries<Instrument>);

const move = v.object({
  onset: ticks,
  letter,
  from: position,
  to: position,
  foot: v.picklist(['left', 'right']),
} satisfies Entries<Move>);

/** What holds between the parts: bars end to end, ids once each, rolls and slides of plucks that are there. */
function fault(planned: PlannedPassage): string | null {
  const { passage: p, moves, start } = planned;
  let end = 0;
  for (const [i, b] of p.bars.entries()) {
    if (b.index !== i || b.start !== end) return `bar ${i + 1} does not follow the bar before it`;
    end = b.start + b.length;
  }
  const ids = [...p.plucks, ...p.sweeps, ...p.trembles.flatMap((t) => t.notes)].map((x) => x.id);
  if (new Set(ids).size !== ids.length) return 'two notes have one id';
  const plucks = new Set(p.plucks.map((x) => x.id));
  const missing = [...p.rolls.flatMap((r) => r.plucks), ...(p.slides ?? []).map((s) => s.pluck)].find(
    (id) => !plucks.has(id),
  );
  if (missing !== undefined) return `there is no note “${missing}”`;
  const late = (events: readonly { readonly onset: number }[]) =>
    events.some((event, i) => i > 0 && event.onset < (events[i - 1]?.onset ?? 0));
  if (late(p.plucks) || late(moves) || late(p.tempo)) return 'events are out of order';
  const stands = new Map<string, number>();
  for (const { letter: name, from, to } of moves) {
    const before = stands.get(name) ?? positionOf(start, name);
    if (before !== from) return `the ${name} pedal is not where its move begins`;
    stands.set(name, to);
  }
  return null;
}

/** A planned passage: `v.safeParse` answers an equal value with the fields of the types and no others. */
export const plannedSchema = v.pipe(
  v.object({
    passage,
    instrument,
    start: setting,
    moves: list(move),
    tuning: v.record(v.pipe(v.string(), v.regex(/^-?\d{1,2}$/)), position),
  } satisfies Entries<PlannedPassage>),
  v.rawCheck(({ dataset, addIssue }) => {
    if (!dataset.typed) return;
    const message = fault(dataset.value);
    if (message !== null) addIssue({ message });
  }),
);
