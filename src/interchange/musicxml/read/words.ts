/** What the words of a harp part mean: pedals in letters or syllables, techniques, and the end of them. */

import type { Position } from '../../../harp/setting';
import type { Technique } from '../../../music/passage';
import type { Letter } from '../../../music/pitch';

const SYLLABLES: Readonly<Record<string, Letter>> = {
  do: 'C',
  ut: 'C',
  re: 'D',
  mi: 'E',
  fa: 'F',
  sol: 'G',
  la: 'A',
  si: 'B',
};
const SIGNS: Readonly<Record<string, Position>> = {
  '♭': -1,
  b: -1,
  '♮': 0,
  '♯': 1,
  '#': 1,
};

const plain = (text: string): string =>
  text
    .normalize('NFD')
    .replace(/[\u0300-\u036f]/g, '')
    .replace(/[\ue260\u266d]/g, '♭')
    .replace(/[\ue261\u266e]/g, '♮')
    .replace(/[\ue262\u266f]/g, '♯')
    .trim();

const PEDAL = /(do|ut|re|mi|fa|sol|la|si|[A-G])\s*([♭♮♯#]|b(?![a-z]))/iy;

export interface PedalWord {
  readonly letter: Letter;
  readonly to: Position;
}

/** The pedal changes that a text consists of, such as 'E♭', 'F# C♮', 'mi♭'; null where it says anything else. */
export function pedalWords(text: string): PedalWord[] | null {
  const source = plain(text);
  const out: PedalWord[] = [];
  let at = 0;
  while (at < source.length) {
    const gap = /[\s,;|/–-]/.test(source[at] as string);
    if (gap) {
      at++;
      continue;
    }
    PEDAL.lastIndex = at;
    const match = PEDAL.exec(source);
    if (match === null) return null;
    const name = (match[1] as string).toLowerCase();
    const letter = SYLLABLES[name] ?? (name.toUpperCase() as Letter);
    // A lone small letter with a small b is more likely a word than a pedal.
    if (match[1]?.length === 1 && match[1] !== match[1].toUpperCase()) return null;
    out.push({ letter, to: SIGNS[(match[2] as string).toLowerCase()] ?? 0 });
    at = PEDAL.lastIndex;
  }
  return out.length === 0 ? null : out;
}

export type WordMeaning =
  | { readonly kind: 'technique'; readonly technique: Technique }
  | { readonly kind: 'ordinary' }
  | { readonly kind: 'bisbigliando' }
  | { readonly kind: 'gliss' }
  | { readonly kind: 'let-ring' }
  /** 'm.d.', 'm.g.': the voices say it too. */
  | { readonly kind: 'hand' };

const MEANINGS: readonly (readonly [RegExp, WordMeaning])[] = [
  [
    /^(son )?ord(\.|inaire|inario|inary)?$|^nat(\.|urale|ural)?$|^normal(e)?$|^loco ord\.?$/,
    { kind: 'ordinary' },
  ],
  [
    /pres (de )?la table|^p\.? ?d\.? ?l\.? ?t\.?$|near (the )?sound ?board|sulla tavola|alla tavola|am resonanzboden/,
    { kind: 'technique', technique: 'table' },
  ],
  [/^(sons? )?etouff(e|es|ez)\b/, { kind: 'technique', technique: 'etouffe' }],
  [/ongle|finger ?nail|unghi|nagel/, { kind: 'technique', technique: 'nail' }],
  [/^bisb/, { kind: 'bisbigliando' }],
  [/^gliss/, { kind: 'gliss' }],
  [/^m\. ?[dgs]\.$/, { kind: 'hand' }],
  [/^l\.? ?v\.?$|laisse[rz]? vibrer/, { kind: 'let-ring' }],
];

/** What other words mean to a harpist, or null. */
export function wordMeaning(text: string): WordMeaning | null {
  const source = plain(text).toLowerCase().replace(/\s+/g, ' ');
  return MEANINGS.find(([pattern]) => pattern.test(source))?.[1] ?? null;
}

export type Jump = 'dacapo' | 'dalsegno' | 'tocoda' | 'fine';

/** 'D.C. al Fine', 'Dal segno', 'To Coda', 'Fine' as what they ask for; null for other words. */
export function jumpOf(text: string): Jump | null {
  const source = plain(text).toLowerCase().replace(/\s+/g, ' ');
  if (/^(d\. ?c\.?|da capo)( |$)/.test(source)) return 'dacapo';
  if (/^(d\. ?s\.?|dal segno)( |$)/.test(source)) return 'dalsegno';
  if (/^(to coda|alla coda|al coda)$/.test(source)) return 'tocoda';
  return source === 'fine' ? 'fine' : null;
}
