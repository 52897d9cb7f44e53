/** The short report as text: for the terminal, and for a letter to a harpist. */

import type { Quantity } from '../base/problem';
import type { Bar } from '../music/metre';
import { barList, barWords } from '../playability/places';
import { sentence } from '../playability/sentences';
import { interval, quantity } from '../playability/wording';
import type { Question, Summary, Tally } from './report';

/** What each rule is about, as a composer would say it. */
const NAMES: Readonly<Record<string, string>> = {
  range: 'notes off the instrument',
  clash: 'one letter (or one string) wanted twice at once',
  'wrong-pedal': 'pedals that do not give the written note',
  'pedal-time': 'pedal changes without time',
  'pedal-mark': 'pedal marks for nothing, or missing settings',
  'pedal-ring': 'pedals moved under a ringing string',
  discless: 'strings without discs asked for two tunings',
  respelt: 'notes played on another string',
  'four-fingers': 'a fifth finger in a hand',
  span: 'stretches',
  spacing: 'chords spaced awkwardly',
  strain: 'chords that strain the hand',
  placing: 'leaps to chords without time to place them',
  octaves: 'fast octaves in one hand',
  reach: 'hands out of their reach',
  'shared-string': 'one string for both hands too soon',
  'repeat-rate': 'one string repeated fast',
  'hand-speed': 'speed',
  leap: 'leaps',
  harmonics: 'harmonics',
  table: 'near the soundboard',
  etouffe: 'étouffés',
  bisbigliando: 'bisbigliandi',
  sweep: 'glissandi',
  chromatic: 'chromatic runs',
  'sharp-key': 'keys of many sharps',
  blur: 'close chords in the bass',
  'damp-time': 'damping without time',
  damping: 'low strings left ringing under a new bass',
  balance: 'loudness',
  stamina: 'long stretches without a break',
  'part-not-harp': 'a part that may not be for the harp',
  'part-partly': 'bars for another instrument',
  'part-unsuited': 'a part that is no harp music as it stands',
};
export const ruleName = (code: string): string => NAMES[code] ?? code.replaceAll('-', ' ');

export { barList };

const plural = (n: number, one: string): string => `${n} ${one}${n === 1 ? '' : 's'}`;
const tallyLine = (t: Tally): string =>
  `  ${String(t.count).padStart(4)}  ${ruleName(t.code)}: ${barList(t.bars)}`;

/** A question as one sentence. */
export function questionText(q: Question): string {
  if (q.kind === 'tempo')
    return 'The part gives no tempo; everything that depends on time was read at a quarter note = 90. Is the tempo we mean playable?';
  if (q.kind === 'hands')
    return 'The part does not say which hand plays what; a division was searched. Would you divide it differently?';
  if (q.kind === 'pedals')
    return `The part has no pedal plan of its own; as it is spelt it takes ${plural(q.moves, 'pedal move')}. Would you respell anything?`;
  if (q.kind === 'unmarked-chords')
    return `Chords without a mark (${barList(q.bars)}): would you roll them? Mark each, or say once how they are meant.`;
  const said = (x: Quantity): string =>
    typeof x === 'number' && q.unit === 'strings' ? interval(x) : quantity(x, q.unit ?? undefined);
  const [found, limit] = [said(q.value), said(q.limit)];
  const where = `${q.count === 1 ? 'once' : `${q.count} times`}, ${barList(q.bars)}`;
  const doubt = q.source === 'common practice' ? 'no printed rule decides' : 'the printed sources leave room';
  return `On ${ruleName(q.code)} (${where}; the hardest ${found}, where ${limit} is taken as usual) ${doubt}: does it work for you?`;
}

function verdict(s: Summary): string {
  if (s.onsets === 0) return 'There is nothing to play in this part.';
  if (s.errors === 0 && s.warnings === 0) return 'Nothing found: the part can be played as it stands.';
  if (s.errors === 0)
    return `The part can be played; ${plural(s.warnings, 'remark')} that a harpist might make.`;
  return (
    `${plural(s.errors, 'place')} cannot be played as written (${s.onsetsWithErrors} of ${s.onsets} onsets), ` +
    `and there ${s.warnings === 1 ? 'is' : 'are'} ${plural(s.warnings, 'remark')}.`
  );
}

/** Lines of plain text: what was found, where it is worst, what to do first, and questions for a harpist. */
export function reportText(summary: Summary, bars: readonly Bar[]): string {
  const whole = summary.unsuited === null ? [] : [sentence(summary.unsuited, bars)];
  const out = [...whole, verdict(summary)];
  const block = (title: string, lines: readonly string[]): void => {
    if (lines.length > 0) out.push('', title, ...lines);
  };
  block('Cannot be done', summary.tallies.filter((t) => t.severity === 'error').map(tallyLine));
  block('Remarks', summary.tallies.filter((t) => t.severity === 'warning').map(tallyLine));
  block(
    'Worst bars',
    summary.worstBars.map(
      (b) => `  ${barWords(b.bar)}: ${plural(b.errors, 'error')}, ${plural(b.warnings, 'remark')}`,
    ),
  );
  block(
    'Begin with',
    summary.first.map(
      (t, i) =>
        `  ${i + 1}. ${sentence(t.example, bars)}${t.count > 1 ? ` (${t.count - 1} more of this kind)` : ''}`,
    ),
  );
  block('A rest would help', summary.rests.length === 0 ? [] : [`  ${barList(summary.rests)}`]);
  block(
    'Ask a harpist',
    summary.questions.map((q, i) => `  ${i + 1}. ${questionText(q)}`),
  );
  out.push('', "A harpist's word outranks this report.");
  return out.join('\n');
}
