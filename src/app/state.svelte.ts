/** The page's state: one gate for change, everyone else reads. */

import { parseProgression } from '../harmony/progression';
import type { Progression } from '../harmony/types';
import { signed, titled } from '../proposals/signed';
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
  canAsk,
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
  /** `stay` keeps to the proposal that is chosen, where it is in the new list. */
  | { readonly kind: 'propose'; readonly stay?: boolean }
  | { readonly kind: 'select'; readonly id: string }
  | { readonly kind: 'volume'; readonly db: number }
  | { readonly kind: 'rate'; readonly rate: number }
  | { readonly kind: 'sound'; readonly part: Partial<SoundSwitches> }
  | { readonly kind: 'score'; readonly part: Partial<ScoreSwitches> }
  | { readonly kind: 'desk'; readonly desk: Work['desk'] }
  | { readonly kind: 'gliss'; readonly part: Partial<GlissInput> }
  /** Back and forward at the glissando's desk, which has steps of its own. */
  | { readonly kind: 'gliss-undo' }
  | { readonly kind: 'gliss-redo' }
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
  readonly canUndoGliss: boolean;
  readonly canRedoGliss: boolean;
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

/** The view, and what changes it. */
class Shown implements View {
  history = $state.raw<History<Input>>(newHistory(DEFAULT_WORK.input));
  rest = $state.raw<Omit<Work, 'input'>>(DEFAULT_WORK);
  found = $state.raw<ProposeAnswer | null>(null);
  search = $state.raw<Search>({ kind: 'idle' });
  ready = $state(false);
  putAside = $state(false);

  input = $derived(this.history.present);
  title = $derived(this.input.title.trim());
  composer = $derived(this.input.composer);
  /** The list under the piece's name as it stands. */
  answer = $derived(this.found === null ? null : titled(signed(this.found, this.composer), this.title));
  progression = $derived(
    parseProgression(this.input.text, {
      metre: metreOf(this.input.metre),
      key: this.input.key.trim() === '' ? null : this.input.key.trim(),
    }),
  );
  selected = $derived(
    this.answer?.proposals.find((p) => p.id === this.rest.selected) ?? this.answer?.proposals[0] ?? null,
  );
  canUndo = $derived(this.history.past.length > 0);
  canRedo = $derived(this.history.future.length > 0);
  current = $derived(this.rest.asked !== null && sameInput(this.rest.asked, this.input));
  outdated = $derived(this.answer !== null && !this.current);
  volume = $derived(this.rest.volume);
  rate = $derived(this.rest.rate);
  sound = $derived(this.rest.sound);
  score = $derived(this.rest.score);
  desk = $derived(this.rest.desk);
  gliss = $derived(this.rest.gliss);
  glissSteps = $state.raw<History<GlissInput>>(newHistory(DEFAULT_WORK.gliss));
  canUndoGliss = $derived(this.glissSteps.past.length > 0);
  canRedoGliss = $derived(this.glissSteps.future.length > 0);
}

/** The state of one page. Starts from the default work and takes over the kept work as soon as it is read. */
export function createApp(parts: AppParts): App {
  const shown = new Shown();
  let touched = false;
  const store: Saver = saver(parts.keep, parts.saveAfterMs ?? 400);

  const work = (): Work => ({ ...shown.rest, version: 1, input: shown.history.present });
  const save = (): void => store.save(encodeWork(work()));

  const put = (part: Partial<Omit<Work, 'input'>>): void => {
    shown.rest = { ...shown.rest, ...part };
  };

  /** Asks for the list; `stay` is a proposal that is to be in it, whatever else comes. */
  const seek = (asked: Input, stay: Proposal | null = null): void => {
    put(stay === null ? { asked } : { asked, selected: stay.id });
    shown.search = { kind: 'searching' };
    const request = requestOf(asked);
    void parts.ask(request).then(async (reply) => {
      if (reply.stale) return;
      if (!reply.ok) {
        shown.search = { kind: 'failed', reason: reply.reason };
        return;
      }
      const list = reply.value;
      if (stay === null || list.proposals.some((p) => p.id === stay.id)) shown.found = list;
      else {
        // Dearer than before, it has lost its place: it is asked for by itself and stands last.
        const steering = { ...request.steering, again: [stay.recipe] };
        const alone = await parts.ask({ ...request, count: 1, steering });
        if (alone.stale) return;
        const [found] = alone.ok ? alone.value.proposals : [];
        shown.found = found === undefined ? list : { ...list, proposals: [...list.proposals, found] };
        if (found !== undefined) put({ selected: found.id });
      }
      shown.search = { kind: 'answered' };
    });
  };

  /** Back or forward. A list that answered what was there answers what is there now: it goes along. */
  const step = (to: History<Input>): void => {
    const along = shown.current;
    shown.history = to;
    if (along && !shown.current && canAsk(shown.input, shown.progression)) seek(shown.input, shown.selected);
  };

  const stepGliss = (to: History<GlissInput>): void => {
    shown.glissSteps = to;
    put({ gliss: to.present });
  };

  const apply = (change: Change): void => {
    switch (change.kind) {
      case 'input':
        shown.history = record(shown.history, { ...shown.history.present, ...change.part }, change.step);
        return;
      case 'undo':
        step(undo(shown.history));
        return;
      case 'redo':
        step(redo(shown.history));
        return;
      case 'propose':
        if (change.stay !== true) put({ selected: null });
        seek(shown.history.present, change.stay === true ? shown.selected : null);
        return;
      case 'select':
        put({ selected: change.id });
        return;
      case 'volume':
        put({ volume: change.db });
        return;
      case 'rate':
        put({ rate: change.rate });
        return;
      case 'sound':
        put({ sound: { ...shown.rest.sound, ...change.part } });
        return;
      case 'score':
        put({ score: { ...shown.rest.score, ...change.part } });
        return;
      case 'desk':
        put({ desk: change.desk });
        return;
      case 'gliss':
        // Typing in one field is one step.
        stepGliss(
          record(shown.glissSteps, { ...shown.rest.gliss, ...change.part }, Object.keys(change.part).join()),
        );
        return;
      case 'gliss-undo':
        stepGliss(undo(shown.glissSteps));
        return;
      case 'gliss-redo':
        stepGliss(redo(shown.glissSteps));
        return;
      case 'open':
        shown.history = record(shown.history, change.work.input, null);
        shown.rest = change.work;
        shown.glissSteps = newHistory(change.work.gliss);
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
        shown.putAside = true;
        await parts.keep.aside(text);
      } else {
        shown.history = newHistory(work.input);
        shown.rest = work;
        shown.glissSteps = newHistory(work.gliss);
        if (work.asked !== null) seek(work.asked);
      }
    }
    shown.ready = true;
  };

  return {
    view: shown,
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
