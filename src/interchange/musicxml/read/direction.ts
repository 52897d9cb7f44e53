/** Reads `direction`, `sound` and `harmony`. */

import type { Dynamic, HarmonyMark } from '../../../music/passage';
import { LETTERS, type Letter, spellingName } from '../../../music/pitch';
import { PEDALS, type Position, type Setting, packSetting } from '../../../harp/setting';
import { ASSUMED_TEMPO } from '../assumed-tempo';
import type { RawMark } from './raw';
import { type XmlElement, child, childNumber, childText, children } from './tree';
import type { UnreadList } from './unread';
import { jumpOf, pedalWords, wordMeaning } from './words';

const LEVELS: readonly string[] = ['ppp', 'pp', 'p', 'mp', 'mf', 'f', 'ff', 'fff'];
const QUARTERS: Readonly<Record<string, number>> = {
  breve: 8,
  whole: 4,
  half: 2,
  quarter: 1,
  eighth: 1 / 2,
  '16th': 1 / 4,
  '32nd': 1 / 8,
};

/** The nearest of the eight dynamics, or null for accents such as sfz. */
export function readDynamic(name: string): Dynamic | null {
  if (/^p{4,6}$/.test(name)) return 'ppp';
  if (/^f{4,6}$/.test(name)) return 'fff';
  return LEVELS.includes(name) ? (name as Dynamic) : null;
}

/** A tempo in thousandths of a quarter a minute, or null where it is out of all bounds. */
const milliBpm = (quarters: number): number | null =>
  Number.isFinite(quarters) && quarters >= 1 && quarters <= 2000 ? Math.round(quarters * 1000) : null;

/** The tempo of a `sound`, which is heard alone; one that our own writer had to assume is nobody's. */
export function readSound(sound: XmlElement | undefined, at: number, unseen = true): RawMark[] {
  const tempo = milliBpm(Number(sound?.attributes.tempo ?? Number.NaN));
  if (tempo === null || sound?.attributes.id === ASSUMED_TEMPO) return [];
  return [{ kind: 'tempo', at, milliBpm: tempo, unseen }];
}

function readMetronome(metronome: XmlElement, at: number): RawMark[] {
  const perMinute = /\d+(\.\d+)?/.exec(childText(metronome, 'per-minute') ?? '')?.[0];
  const unit = QUARTERS[childText(metronome, 'beat-unit') ?? ''];
  if (perMinute === undefined || unit === undefined) return [];
  const dots = children(metronome, 'beat-unit-dot').length;
  const tempo = milliBpm(Number(perMinute) * unit * (2 - 0.5 ** dots));
  const unseen = metronome.attributes['print-object'] === 'no';
  return tempo === null ? [] : [{ kind: 'tempo', at, milliBpm: tempo, unseen }];
}

function readDiagram(pedals: XmlElement): Setting | null {
  const positions = {} as Record<Letter, Position>;
  for (const letter of PEDALS) positions[letter] = 0;
  for (const tuning of children(pedals, 'pedal-tuning')) {
    const letter = childText(tuning, 'pedal-step') as Letter;
    const alter = childNumber(tuning, 'pedal-alter');
    if (!PEDALS.includes(letter) || (alter !== -1 && alter !== 0 && alter !== 1)) return null;
    positions[letter] = alter as Position;
  }
  return packSetting(positions);
}

const SYMBOLS: Readonly<Record<string, string>> = {
  accidentalFlat: '♭',
  accidentalNatural: '♮',
  accidentalSharp: '♯',
};

/** Direction types that are read with the bar lines, or that change what is printed and not what is played. */
const ELSEWHERE = new Set(['segno', 'coda', 'octave-shift']);

/** Marks of a direction at `at`; what is not understood goes to the list. */
export function readDirection(direction: XmlElement, at: number, bar: string, unread: UnreadList): RawMark[] {
  const out: RawMark[] = [];
  const types = children(direction, 'direction-type').flatMap((type) => type.children);
  const staff = childText(direction, 'staff') === '2' ? 2 : 1;
  const metronome = types.find(({ name }) => name === 'metronome');
  const printed = metronome !== undefined && metronome.attributes['print-object'] !== 'no';
  const sound = readSound(child(direction, 'sound'), at, !printed);
  const words = types
    .filter((type) => type.name === 'words' || type.name === 'symbol')
    .map((type) => (type.name === 'symbol' ? (SYMBOLS[type.text] ?? type.text) : type.text))
    .join(' ')
    .trim();
  let below: number | null = null;
  const belowName = types.flatMap((type) => /^damp below ([A-G])(\d)$/.exec(type.text) ?? []);
  if (belowName.length === 3) {
    below = LETTERS.indexOf(belowName[1] as Letter) + 7 * Number(belowName[2]) - 7;
  }
  for (const type of types) {
    if (type.name === 'pedal') {
      const way = type.attributes.type;
      const sustain = way === 'start' || way === 'stop' || way === 'change' ? way : null;
      if (sustain !== null) out.push({ kind: 'sustain', at, type: sustain, bar });
      else unread.add('pedal', bar, way ?? '');
    } else if (type.name === 'harp-pedals') {
      const setting = readDiagram(type);
      if (setting === null) unread.add('harp-pedals', bar);
      else out.push({ kind: 'setting', at, setting });
    } else if (type.name === 'metronome') {
      const told = readMetronome(type, at);
      if (told.length === 0) unread.add('metronome', bar, childText(type, 'per-minute') ?? '');
      if (sound.length === 0) out.push(...told);
    } else if (type.name === 'dynamics') {
      // Between the staves a dynamic is for both hands, outside them for one.
      const { placement } = direction.attributes;
      const scope =
        (staff === 1 && placement === 'above') || (staff === 2 && placement === 'below') ? staff : 0;
      for (const { name, text } of type.children) {
        const dynamic = readDynamic(name);
        if (dynamic === null) unread.add('dynamics', bar, text || name);
        else out.push({ kind: 'dynamic', at, staff: scope, dynamic });
      }
    } else if (type.name === 'damp-all') {
      out.push({ kind: 'damp', at, below: null });
    } else if (type.name === 'damp') {
      out.push({ kind: 'damp', at, below });
    } else if (type.name === 'octave-shift') {
      // How the notes are printed: pitches in the file stay as they sound (W3C MusicXML 4.0, octave-shift).
      continue;
    } else if (type.name === 'other-direction' && belowName.length === 3) {
      continue;
    } else if (type.name === 'wedge') {
      const { type: way, number } = type.attributes;
      if (way === 'crescendo' || way === 'diminuendo' || way === 'stop') {
        out.push({ kind: 'wedge', at, type: way, number: number ?? '1', bar });
      }
    } else if (type.name === 'rehearsal') {
      out.push({ kind: 'rehearsal', at, text: type.text });
    } else if (type.name !== 'words' && type.name !== 'symbol' && !ELSEWHERE.has(type.name)) {
      unread.add(type.name, bar, type.text);
    }
  }
  if (words !== '' && jumpOf(words) === null) out.push(...readWords(words, at, staff, bar, unread));
  return [...out, ...sound];
}

function readWords(text: string, at: number, staff: 1 | 2, bar: string, unread: UnreadList): RawMark[] {
  const pedals = pedalWords(text);
  if (pedals !== null) return pedals.map((word) => ({ kind: 'move', at, word }));
  const meaning = wordMeaning(text);
  if (meaning?.kind === 'technique') return [{ kind: 'technique', at, staff, technique: meaning.technique }];
  if (meaning?.kind === 'ordinary') return [{ kind: 'technique', at, staff, technique: 'ordinary' }];
  if (meaning?.kind === 'let-ring') unread.add('words', bar, text);
  else if (meaning !== null) return [{ kind: 'meant', at, what: meaning.kind, text, bar }];
  return meaning === null ? [{ kind: 'words', at, text, staff }] : [];
}

const readSpelling = (element: XmlElement | undefined, name: 'root' | 'bass') => {
  const letter = childText(element, `${name}-step`) as Letter | undefined;
  if (letter === undefined || !LETTERS.includes(letter)) return null;
  return { letter, alter: childNumber(element, `${name}-alter`) ?? 0 };
};

/** A chord symbol, with the text that it shows. */
export function readHarmony(harmony: XmlElement): Omit<HarmonyMark, 'onset'> | null {
  const kindElement = child(harmony, 'kind');
  const kind = kindElement?.text ?? 'other';
  if (kind === 'none') return { text: 'N.C.', root: null, bass: null, kind, degrees: [] };
  const root = readSpelling(child(harmony, 'root'), 'root');
  if (root === null) return null;
  const bass = readSpelling(child(harmony, 'bass'), 'bass');
  const degrees = children(harmony, 'degree').flatMap((degree): HarmonyMark['degrees'][number][] => {
    const type = childText(degree, 'degree-type');
    const value = childNumber(degree, 'degree-value');
    if (value === undefined || (type !== 'add' && type !== 'alter' && type !== 'subtract')) return [];
    return [{ value, alter: childNumber(degree, 'degree-alter') ?? 0, type }];
  });
  const slash = bass === null ? '' : `/${spellingName(bass.letter, bass.alter)}`;
  const text = spellingName(root.letter, root.alter) + (kindElement?.attributes.text ?? '') + slash;
  return { text, root, bass, kind, degrees };
}
