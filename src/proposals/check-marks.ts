/** Pedal marks held against the notes: what is missing, late, early, wrong, or for nothing. */

import type { Problem } from '../base/problem';
import type { Ticks } from '../base/units';
import type { Move, PlannedPassage } from '../harp/planned';
import { type Position, positionOf } from '../harp/setting';
import { barAndBeat } from '../music/metre';
import { LETTERS, type Letter, spellingName } from '../music/pitch';
import { musicProblem, toSeconds } from '../playability/rule';
import { type TempoMap, tempoMap } from '../music/tempo';
import { type Need, type Needs, needBefore, needFrom, needIndex, needsOf, noteNeeds } from './check-needs';
import { type PedalMarks, openingDiagram } from './marks';

const SOURCE = 'Wikipedia, "Pedal harp"; one pedal per letter';
const MARKS_SOURCE = 'Einarsdóttir, harp notation manual, Sibelius Academy; common practice';

/** Positions of one letter over time. */
interface Track {
  readonly moves: readonly Move[];
  readonly start: Position;
}

/** Consecutive needs of a letter that find the pedal elsewhere, with no mark between them. */
interface Run {
  readonly needs: Need[];
  readonly stands: Position;
  readonly before: Need | undefined;
  /** Moves of the letter done when the run begins. */
  readonly done: number;
}

/** Runs of wrong needs; a need is right where the position before or after a move of its own instant is its own. */
function wrongRuns(needs: readonly Need[], track: Track): Run[] {
  const runs: Run[] = [];
  let done = 0;
  let stands = track.start;
  let open: Run | null = null;
  needs.forEach((need, i) => {
    let before = stands;
    let moved = false;
    while (done < track.moves.length && (track.moves[done] as Move).onset <= need.onset) {
      const move = track.moves[done++] as Move;
      if (move.onset < need.onset) before = move.to;
      stands = move.to;
      moved = true;
    }
    if (need.alter === stands || need.alter === before) {
      open = null;
      return;
    }
    if (open !== null && !moved && open.needs[0]?.alter === need.alter) open.needs.push(need);
    else runs.push((open = { needs: [need], stands, before: needs[i - 1], done }));
  });
  return runs;
}

type Kind = 'opening' | 'missing' | 'late' | 'early' | 'contradicts';

/** Why the pedal stands wrong, and the mark that has to do with it. */
function reasonOf(run: Run, needs: readonly Need[], track: Track): { kind: Kind; mark: Move | null } {
  const first = run.needs[0] as Need;
  const last = run.needs.at(-1) as Need;
  const prior = track.moves[run.done - 1];
  const next = track.moves[run.done];
  // A mark between the note before and this one; one at the note before may have been for that note.
  const since = run.before?.onset ?? -1;
  const between =
    prior !== undefined && (prior.onset > since || (prior.onset === since && run.before?.alter !== prior.to));
  if (between) {
    const following = needFrom(needs, last.onset + 1);
    const wanted = following !== undefined && following.alter === prior.to;
    return { kind: prior.from === first.alter && wanted ? 'early' : 'contradicts', mark: prior };
  }
  if (next !== undefined && next.to === first.alter) {
    let k = needIndex(needs, last.onset + 1);
    while (needs[k]?.alter === first.alter && (needs[k] as Need).onset < next.onset) k++;
    const meanwhile = needs[k] !== undefined && (needs[k] as Need).onset < next.onset;
    if (!meanwhile) return { kind: 'late', mark: next };
  }
  return { kind: run.before === undefined ? 'opening' : 'missing', mark: null };
}

function runProblem(
  planned: PlannedPassage,
  run: Run,
  needs: readonly Need[],
  track: Track,
  drawn: boolean,
  map: TempoMap,
): Problem {
  const { passage } = planned;
  const first = run.needs[0] as Need;
  const { kind, mark } = reasonOf(run, needs, track);
  const place = mark === null ? null : barAndBeat(passage.bars, mark.onset);
  const found = {
    value: spellingName(first.letter, first.alter),
    limit: spellingName(first.letter, run.stands),
    source: SOURCE,
  };
  return musicProblem(
    'wrong-pedal',
    'error',
    first.onset,
    run.needs.flatMap((n) => n.ids),
    found,
    {
      kind: kind === 'opening' && !drawn ? 'missing' : kind,
      letter: first.letter,
      count: run.needs.length,
      ...(mark === null || place === null
        ? {}
        : {
            mark: spellingName(mark.letter, mark.to),
            bar: place.bar,
            beat: Math.round(place.beat * 100) / 100,
            seconds: toSeconds(Math.abs(map.microsAt(mark.onset) - map.microsAt(first.onset))),
          }),
    },
  );
}

const markId = (letter: Letter, onset: Ticks): string => `${letter}@${onset}`;

/** Marks that change nothing, and changes that no note asks for before the next. */
function idleMarks(planned: PlannedPassage, marks: PedalMarks, needs: Needs): Problem[] {
  const out: Problem[] = [];
  const words = new Set(marks.moves.map((m) => markId(m.letter, m.onset)));
  const say = (letter: Letter, to: Position, onset: Ticks, kind: string, limit: string): void => {
    const found = { value: spellingName(letter, to), limit, source: MARKS_SOURCE };
    out.push(musicProblem('pedal-mark', 'warning', onset, [markId(letter, onset)], found, { kind, letter }));
  };
  for (const letter of LETTERS) {
    const moves = planned.moves.filter((m) => m.letter === letter);
    const changed = new Set(moves.map((m) => m.onset));
    for (const word of marks.moves) {
      if (word.letter !== letter || changed.has(word.onset)) continue;
      say(letter, word.to, word.onset, 'standing', 'a change of pedal');
    }
    moves.forEach((move, i) => {
      if (!words.has(markId(letter, move.onset))) return;
      const until = moves[i + 1]?.onset ?? Infinity;
      // What still goes on from before, then what begins until the next move.
      const going = needBefore(needs[letter], move.onset);
      let used = going !== undefined && going.end >= move.onset && going.alter === move.to;
      for (let k = needIndex(needs[letter], move.onset); !used; k++) {
        const need = needs[letter][k];
        if (need === undefined || need.onset > until) break;
        used = need.alter === move.to;
      }
      if (!used) say(letter, move.to, move.onset, 'unused', 'a note that needs it');
    });
  }
  return out;
}

/**
 * What the marks of a part leave wrong. Errors, code `wrong-pedal`: one for each stretch of notes of a letter that
 * find their pedal elsewhere, at its first note, with `kind` `opening` (the opening diagram has it otherwise),
 * `missing` (no mark), `late` (the mark comes after the note), `early` (the mark comes before the last note that
 * needs the old position) or `contradicts` (a mark that these notes do not fit). Warnings, code `pedal-mark`: marks
 * that change nothing (`standing`) and changes that no note needs (`unused`).
 */
export function markProblems(planned: PlannedPassage, marks: PedalMarks): Problem[] {
  const { passage, instrument, start } = planned;
  const needs = noteNeeds(passage, instrument);
  const drawn = openingDiagram(passage, marks) !== null;
  const map = tempoMap(passage.tempo);
  const out: Problem[] = [];
  for (const letter of LETTERS) {
    const track: Track = {
      moves: planned.moves.filter((m) => m.letter === letter),
      start: positionOf(start, letter),
    };
    for (const run of wrongRuns(needs[letter], track)) {
      out.push(runProblem(planned, run, needs[letter], track, drawn, map));
    }
  }
  return [
    ...out,
    ...idleMarks(planned, marks, passage.sweeps.length > 0 ? needsOf(passage, instrument) : needs),
  ];
}
