/** The state of the part that a user brings: the file, how it is treated, what the checker says of it. */

import type { Problem } from '../base/problem';
import type { Result } from '../base/result';
import { LEVER_HARP } from '../harp/instrument';
import { sentence } from '../playability/sentences';
import type { Ask } from '../worker/latest';
import type { Arranged } from '../worker/part-arranged';
import type {
  MendQuestion,
  MendedPart,
  OpenedPart,
  PartQuestion,
  ReduceQuestion,
} from '../worker/part-answers';
import { type History, newHistory, record, redo, undo } from './history';
import { type Keep, type Saver, saver } from './keep';
import {
  LARGEST_FILE,
  NO_PART,
  type PartInput,
  decodePart,
  encodePart,
  fromBase64,
  toBase64,
} from './part-input';

export interface PartView {
  readonly input: PartInput;
  readonly canUndo: boolean;
  readonly canRedo: boolean;
  readonly busy: boolean;
  /** The part as read and checked; the last good one while another is read. */
  readonly opened: OpenedPart | null;
  /** Repairs for the errors of the part, once they are found; null where there are none to look for. */
  readonly mended: MendedPart | null;
  /** The part as harp music, where that is wanted. */
  readonly reduced: Arranged | null;
  /** Repairs or an arrangement are being looked for. */
  readonly working: boolean;
  /** The share of what is under way that is done, 0 to 1. */
  readonly share: number;
  /** A sentence about a file that cannot be used. What was open stays open. */
  readonly fault: string | null;
}

export interface PartDesk {
  readonly view: PartView;
  /** Takes a file. One that cannot be read is told of, and what was open stays. */
  bring(file: File): Promise<void>;
  change(part: Partial<PartInput>): void;
  /** Takes over a part from saved work; what was there before is an undo away. */
  restore(input: PartInput): void;
  /** The user's own score with every repair, or null where that failed; the reason is told. */
  mendedFile(): Promise<Uint8Array | null>;
  /** Gives up what is under way; what was there before stays. */
  stop(): void;
  /** Told the share done of what is under way. */
  progress(share: number): void;
  undo(): void;
  redo(): void;
  flush(): void;
  readonly opened: Promise<void>;
}

export interface PartDeskParts {
  readonly ask: Ask<PartQuestion, Result<OpenedPart>>;
  readonly mend: Ask<MendQuestion, Result<MendedPart>>;
  readonly reduce: Ask<ReduceQuestion, Result<Arranged>>;
  /** The user's own score with every repair. */
  readonly file: Ask<PartQuestion, Result<Uint8Array>>;
  readonly keep: Keep;
}

const questionOf = (input: PartInput): PartQuestion | null =>
  input.file === null
    ? null
    : {
        name: input.file.name,
        bytes: fromBase64(input.file.data),
        part: input.part,
        milliBpm: input.tempo === null ? null : Math.round(input.tempo * 1000),
        harp: input.harp,
      };

/** What the answer of the reader depends on. */
const sameSource = (a: PartInput, b: PartInput): boolean =>
  a.file === b.file && a.part === b.part && a.tempo === b.tempo && a.harp === b.harp;

/** What a part is likely brought for, from its name; null where that says nothing. */
export function purposeOf(partName: string): PartInput['purpose'] | null {
  if (/harp|arpa|harfe/i.test(partName)) return 'check';
  return /piano|klavier|clavier|keyboard|klavir/i.test(partName) ? 'reduce' : null;
}

export function createPartDesk({ ask, mend, reduce, file, keep }: PartDeskParts): PartDesk {
  let history = $state.raw<History<PartInput>>(newHistory(NO_PART));
  let opened = $state.raw<OpenedPart | null>(null);
  let fault = $state<string | null>(null);
  let busy = $state(false);
  let working = $state(false);
  let share = $state(0);
  let mended = $state.raw<MendedPart | null>(null);
  let reduced = $state.raw<Arranged | null>(null);
  const store: Saver = saver(keep, 400);

  /** Reads what is wanted; `accept` is called once it proved readable. */
  async function read(input: PartInput, accept: () => void): Promise<void> {
    const question = questionOf(input);
    if (question === null) {
      opened = null;
      fault = null;
      accept();
      return;
    }
    busy = true;
    share = 0;
    const reply = await ask(question);
    if (reply.stale) return;
    busy = false;
    if (!reply.ok) {
      fault = `“${question.name}” could not be read to its end: ${reply.reason}.`;
      return;
    }
    if (!reply.value.ok) {
      fault = told(question.name, reply.value.problems);
      return;
    }
    fault = null;
    opened = reply.value.value;
    mended = null;
    reduced = null;
    accept();
    void work();
  }

  const told = (name: string, problems: readonly Problem[]): string => {
    const [problem] = problems;
    return `“${name}”: ${problem === undefined ? 'this is not music that can be read.' : sentence(problem, [])}`;
  };

  /** Looks for repairs or for an arrangement, as the purpose says. */
  async function work(): Promise<void> {
    const input = history.present;
    const question = questionOf(input);
    if (question === null || opened === null) return;
    const hasErrors = opened.report.problems.some((p) => p.severity === 'error');
    // Nothing to mend, or nobody to ask: repairs are known for pedals alone.
    if (input.purpose === 'check' && (!hasErrors || input.harp === LEVER_HARP.id)) {
      mended = null;
      working = false;
      return;
    }
    working = true;
    share = 0;
    const answer =
      input.purpose === 'check'
        ? await mend({ ...question, repairs: input.repairs }).then((reply) => {
            if (!reply.stale && reply.ok && reply.value.ok) mended = reply.value.value;
            return reply;
          })
        : await reduce({
            ...question,
            difficulty: input.difficulty,
            refused: input.refused,
            chords: input.chords,
            retextures: input.retextures,
          }).then((reply) => {
            if (!reply.stale && reply.ok && reply.value.ok) reduced = reply.value.value;
            return reply;
          });
    if (answer.stale) return;
    working = false;
    if (!answer.ok) fault = `“${question.name}”: the work stopped before its end (${answer.reason}).`;
    else if (!answer.value.ok) fault = told(question.name, answer.value.problems);
  }

  const save = (): void => store.save(encodePart(history.present));
  const move = (to: History<PartInput>): void => {
    const before = history.present;
    history = to;
    save();
    if (!sameSource(before, to.present)) void read(to.present, () => undefined);
    else void work();
  };

  return {
    view: {
      get input() {
        return history.present;
      },
      get canUndo() {
        return history.past.length > 0;
      },
      get canRedo() {
        return history.future.length > 0;
      },
      get busy() {
        return busy;
      },
      get opened() {
        return opened;
      },
      get mended() {
        return mended;
      },
      get reduced() {
        return reduced;
      },
      get working() {
        return working;
      },
      get share() {
        return share;
      },
      get fault() {
        return fault;
      },
    },
    bring: async (file) => {
      if (file.size > LARGEST_FILE) {
        fault = `“${file.name}” has ${Math.round(file.size / 1_048_576)} MB; a part has at most ${LARGEST_FILE / 1_048_576}.`;
        return;
      }
      let bytes: Uint8Array;
      try {
        bytes = new Uint8Array(await file.arrayBuffer());
      } catch {
        fault = `“${file.name}” cannot be opened: it may have been moved since it was chosen.`;
        return;
      }
      const { purpose, difficulty, harp } = history.present;
      const next = {
        ...NO_PART,
        purpose,
        difficulty,
        harp,
        file: { name: file.name, data: toBase64(bytes) },
      };
      await read(next, () => {
        const purpose = purposeOf(opened?.partName ?? '') ?? next.purpose;
        history = record(history, { ...next, purpose }, null);
        save();
      });
    },
    change: (part) => move(record(history, { ...history.present, ...part }, null)),
    restore: (input) => move(record(history, input, null)),
    stop: () => {
      for (const each of [ask, mend, reduce, file]) if ('stop' in each) (each as { stop: () => void }).stop();
    },
    progress: (done) => {
      share = done;
    },
    undo: () => move(undo(history)),
    redo: () => move(redo(history)),
    mendedFile: async () => {
      const question = questionOf(history.present);
      if (question === null) return null;
      const reply = await file(question);
      if (reply.stale) return null;
      if (reply.ok && reply.value.ok) return reply.value.value;
      fault = reply.ok
        ? told(question.name, reply.value.ok ? [] : reply.value.problems)
        : `“${question.name}” could not be mended: ${reply.reason}.`;
      return null;
    },
    flush: () => store.flush(),
    opened: (async () => {
      const text = await keep.read();
      if (text === null || history.present !== NO_PART) return;
      const input = decodePart(text);
      if (input === null) {
        await keep.aside(text);
        return;
      }
      history = newHistory(input);
      await read(input, () => undefined);
    })(),
  };
}
