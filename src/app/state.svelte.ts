/** The page's state: one gate for change, everyone else reads. */

import { parseProgression } from '../harmony/progression';
import type { Progression } from '../harmony/types';
import type { Proposal, ProposeAnswer, ProposeRequest } from '../proposals/types';
import type { Ask } from '../worker/latest';
import { type History, newHistory, record, redo, undo } from './history';
import { type Keep, type Saver, saver } from './keep';
import type { GlissInput } from './gliss-input';
import {
  DEFAULT_WORK,
  type Input,
  type ScoreSwitches,
  type SoundSwitches,
  type Work,
  decodeWork,
  encodeWork,
  metreOf,
  requestOf,
  sameInput,
} from './work';

export type Search =
  | { readonly kind: 'idle' }
  | { readonly kind: 'searching' }
  | { readonly kind: 'answered' }
  | { readonly kind: 'failed'; readonly reason: string };

export type Change =
  /** A part of the input; steps of the same `step` melt into one for undo. */
  | { readonly kind: 'input'; readonly part: Partial<Input>; readonly step: string | null }
  | { readonly kind: 'undo' }
  | { readonly kind: 'redo' }
  | { readonly kind: 'propose' }
  | { readonly kind: 'select'; readonly id: string }
  | { readonly kind: 'volume'; readonly db: number }
  | { readonly kind: 'rate'; readonly rate: number }
  | { readonly kind: 'sound'; readonly part: Partial<SoundSwitches> }
  | { readonly kind: 'score'; readonly part: Partial<ScoreSwitches> }
  | { readonly kind: 'desk'; readonly desk: Work['desk'] }
  | { readonly kind: 'gliss'; readonly part: Partial<GlissInput> }
  /** Work from a file; what was there before is an undo away. */
  | { readonly kind: 'open'; readonly work: Work };

/** What components see. Large answers are replaced, never changed. */
export interface View {
  /** False until the kept work has been looked for. */
  readonly ready: boolean;
  readonly input: Input;
  readonly canUndo: boolean;
  readonly canRedo: boolean;
  /** The text as read now, with its problems at their places. */
  readonly progression: Progression;
  readonly search: Search;
  readonly answer: ProposeAnswer | null;
  /** The list answers an input that has been changed since. */
  readonly outdated: boolean;
  readonly selected: Proposal | null;
  readonly volume: number;
  readonly rate: number;
  readonly sound: SoundSwitches;
  readonly score: ScoreSwitches;
  readonly desk: Work['desk'];
  readonly gliss: GlissInput;
  /** The kept work could not be read; it was put aside. */
  readonly putAside: boolean;
}

export interface AppParts {
  readonly ask: Ask<ProposeRequest, ProposeAnswer>;
  readonly keep: Keep;
  readonly saveAfterMs?: number;
}

export interface App {
  readonly view: View;
  change(change: Change): void;
  /** All that is kept, as it stands. */
  readonly work: () => Work;
  /** Keeps what waits to be kept: for a page that goes. */
  flush(): void;
  /** Resolves when the kept work has been read. */
  readonly opened: Promise<void>;
}

/** The state of one page. Starts from the default work and takes over the kept work as soon as it is read. */
export function createApp(parts: AppParts): App {
  let history = $state.raw<History<Input>>(newHistory(DEFAULT_WORK.input));
  let rest = $state.raw<Omit<Work, 'input'>>(DEFAULT_WORK);
  let answer = $state.raw<ProposeAnswer | null>(null);
  let search = $state.raw<Search>({ kind: 'idle' });
  let ready = $state(false);
  let putAside = $state(false);
  let touched = false;
  const store: Saver = saver(parts.keep, parts.saveAfterMs ?? 400);

  const input = $derived(history.present);
  const progression = $derived(
    parseProgression(input.text, {
      metre: metreOf(input.metre),
      key: input.key.trim() === '' ? null : input.key.trim(),
    }),
  );
  const selected = $derived(
    answer?.proposals.find((p) => p.id === rest.selected) ?? answer?.proposals[0] ?? null,
  );

  const work = (): Work => ({ ...rest, version: 1, input: history.present });
  const save = (): void => store.save(encodeWork(work()));

  const seek = (asked: Input): void => {
    rest = { ...rest, asked };
    search = { kind: 'searching' };
    void parts.ask(requestOf(asked)).then((reply) => {
      if (reply.stale) return;
      if (reply.ok) answer = reply.value;
      search = reply.ok ? { kind: 'answered' } : { kind: 'failed', reason: reply.reason };
    });
  };

  const apply = (change: Change): void => {
    switch (change.kind) {
      case 'input':
        history = record(history, { ...history.present, ...change.part }, change.step);
        return;
      case 'undo':
        history = undo(history);
        return;
      case 'redo':
        history = redo(history);
        return;
      case 'propose':
        rest = { ...rest, selected: null };
        seek(history.present);
        return;
      case 'select':
        rest = { ...rest, selected: change.id };
        return;
      case 'volume':
        rest = { ...rest, volume: change.db };
        return;
      case 'rate':
        rest = { ...rest, rate: change.rate };
        return;
      case 'sound':
        rest = { ...rest, sound: { ...rest.sound, ...change.part } };
        return;
      case 'score':
        rest = { ...rest, score: { ...rest.score, ...change.part } };
        return;
      case 'desk':
        rest = { ...rest, desk: change.desk };
        return;
      case 'gliss':
        rest = { ...rest, gliss: { ...rest.gliss, ...change.part } };
        return;
      case 'open':
        history = record(history, change.work.input, null);
        rest = change.work;
        if (change.work.asked !== null) seek(change.work.asked);
    }
  };

  const open = async (): Promise<void> => {
    const text = await parts.keep.read();
    // What was typed before the kept work came stays; the kept work is put aside rather than overwritten.
    if (text !== null && touched) await parts.keep.aside(text);
    else if (text !== null) {
      const work = decodeWork(text);
      if (work === null) {
        putAside = true;
        await parts.keep.aside(text);
      } else {
        history = newHistory(work.input);
        rest = work;
        if (work.asked !== null) seek(work.asked);
      }
    }
    ready = true;
  };

  return {
    view: {
      get ready() {
        return ready;
      },
      get input() {
        return input;
      },
      get canUndo() {
        return history.past.length > 0;
      },
      get canRedo() {
        return history.future.length > 0;
      },
      get progression() {
        return progression;
      },
      get search() {
        return search;
      },
      get answer() {
        return answer;
      },
      get outdated() {
        return answer !== null && rest.asked !== null && !sameInput(rest.asked, input);
      },
      get selected() {
        return selected;
      },
      get volume() {
        return rest.volume;
      },
      get rate() {
        return rest.rate;
      },
      get sound() {
        return rest.sound;
      },
      get score() {
        return rest.score;
      },
      get desk() {
        return rest.desk;
      },
      get gliss() {
        return rest.gliss;
      },
      get putAside() {
        return putAside;
      },
    },
    change: (change) => {
      touched = true;
      apply(change);
      save();
    },
    work,
    flush: () => store.flush(),
    opened: open(),
  };
}
