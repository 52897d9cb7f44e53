/** The state of the part that a user brings: the file, how it is treated, what the checker says of it. */

import type { Result } from '../base/result';
import { sentence } from '../playability/sentences';
import type { Ask } from '../worker/latest';
import type { OpenedPart, PartQuestion } from '../worker/part-answers';
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
  undo(): void;
  redo(): void;
  flush(): void;
  readonly opened: Promise<void>;
}

export interface PartDeskParts {
  readonly ask: Ask<PartQuestion, Result<OpenedPart>>;
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
      };

/** What the answer of the reader depends on. */
const sameSource = (a: PartInput, b: PartInput): boolean =>
  a.file === b.file && a.part === b.part && a.tempo === b.tempo;

export function createPartDesk({ ask, keep }: PartDeskParts): PartDesk {
  let history = $state.raw<History<PartInput>>(newHistory(NO_PART));
  let opened = $state.raw<OpenedPart | null>(null);
  let fault = $state<string | null>(null);
  let busy = $state(false);
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
    const reply = await ask(question);
    if (reply.stale) return;
    busy = false;
    if (!reply.ok) {
      fault = `“${question.name}” could not be read to its end: ${reply.reason}.`;
      return;
    }
    if (!reply.value.ok) {
      const [problem] = reply.value.problems;
      fault = `“${question.name}”: ${problem === undefined ? 'this is not music that can be read.' : sentence(problem, [])}`;
      return;
    }
    fault = null;
    opened = reply.value.value;
    accept();
  }

  const save = (): void => store.save(encodePart(history.present));
  const move = (to: History<PartInput>): void => {
    const before = history.present;
    history = to;
    save();
    if (!sameSource(before, to.present)) void read(to.present, () => undefined);
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
      const { purpose, difficulty } = history.present;
      const next = { ...NO_PART, purpose, difficulty, file: { name: file.name, data: toBase64(bytes) } };
      await read(next, () => {
        history = record(history, next, null);
        save();
      });
    },
    change: (part) => move(record(history, { ...history.present, ...part }, null)),
    restore: (input) => move(record(history, input, null)),
    undo: () => move(undo(history)),
    redo: () => move(redo(history)),
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
