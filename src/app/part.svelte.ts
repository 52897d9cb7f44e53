/** The state of the part that a user brings: the file, how it is treated, what the checker says of it. */

import type { Problem } from '../base/problem';
import type { Result } from '../base/result';
import { LEVER_HARP } from '../harp/instrument';
import { sentence } from '../playability/sentences';
import type { Ask, Reply } from '../worker/latest';
import type { Arranged } from '../worker/part-arranged';
import type {
  MendQuestion,
  MendedPart,
  OpenedPart,
  PartQuestion,
  ReduceQuestion,
} from '../worker/part-answers';
import type { PlanQuestion, PlannedLevers, PlannedPart } from '../worker/part-planned';
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
  /** The part with its pedals planned anew, where that is wanted. */
  readonly planned: PlannedPart | PlannedLevers | null;
  /** Repairs, an arrangement or a plan are being looked for. */
  readonly working: boolean;
  /** The share of what is under way that is done, 0 to 1. */
  readonly share: number;
  /** A sentence about a file that cannot be used. What was open stays open. */
  readonly fault: string | null;
  /** A file that was brought and refused because its part transposes: it can be read at the pitch that sounds. */
  readonly transposing: string | null;
}

/** The view, and what changes it. */
class Shown implements PartView {
  history = $state.raw<History<PartInput>>(newHistory(NO_PART));
  opened = $state.raw<OpenedPart | null>(null);
  mended = $state.raw<MendedPart | null>(null);
  reduced = $state.raw<Arranged | null>(null);
  planned = $state.raw<PlannedPart | PlannedLevers | null>(null);
  busy = $state(false);
  working = $state(false);
  share = $state(0);
  fault = $state<string | null>(null);
  refused = $state.raw<PartInput | null>(null);

  get input(): PartInput {
    return this.history.present;
  }
  get canUndo(): boolean {
    return this.history.past.length > 0;
  }
  get canRedo(): boolean {
    return this.history.future.length > 0;
  }
  get transposing(): string | null {
    return this.refused?.file?.name ?? null;
  }
}

export interface PartDesk {
  readonly view: PartView;
  /** Takes a file. One that cannot be read is told of, and what was open stays. */
  bring(file: File): Promise<void>;
  /** Takes the file that was refused because its part transposes, at the pitch that sounds. */
  bringTransposed(): Promise<void>;
  change(part: Partial<PartInput>): void;
  /** Takes over a part from saved work; what was there before is an undo away. */
  restore(input: PartInput): void;
  /** The user's own score with the repairs taken (all where none is) or with the plan, or null where that failed; the reason is told. */
  ownFile(): Promise<Uint8Array | null>;
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
  readonly plan: Ask<PlanQuestion, Result<PlannedPart | PlannedLevers>>;
  /** The user's own score with every repair, or with the plan that is asked for. */
  readonly file: Ask<PartQuestion | PlanQuestion, Result<Uint8Array>>;
  readonly keep: Keep;
}

function questionOf(input: PartInput): PartQuestion | null {
  if (input.file === null) return null;
  const { file, part, tempo, harp, harmonics, transposed, fixes } = input;
  return {
    ...{ name: file.name, bytes: fromBase64(file.data), part, harp, fixes },
    milliBpm: tempo === null ? null : Math.round(tempo * 1000),
    how: {
      ...(harmonics === null ? {} : { harmonics }),
      ...(transposed ? { transpose: 'apply' as const } : {}),
    },
  };
}

const planQuestion = (question: PartQuestion, { plan, slides }: PartInput): PlanQuestion => ({
  ...question,
  slides,
  asked: { ...plan.rules, aim: plan.aim, start: plan.start },
});

/** What the answer of the reader depends on. */
const SOURCE = ['file', 'part', 'tempo', 'harp', 'harmonics', 'transposed', 'fixes'] as const;
const sameSource = (a: PartInput, b: PartInput): boolean => SOURCE.every((key) => a[key] === b[key]);

/** What a part is likely brought for, from its name; null where that says nothing. */
export function purposeOf(partName: string): PartInput['purpose'] | null {
  if (/harp|arpa|harfe/i.test(partName)) return 'check';
  return /piano|klavier|clavier|keyboard|klavir/i.test(partName) ? 'reduce' : null;
}

export function createPartDesk(parts: PartDeskParts): PartDesk {
  const { ask, mend, reduce, plan, file, keep } = parts;
  const shown = new Shown();
  const store: Saver = saver(keep, 400);

  const told = (name: string, problems: readonly Problem[]): string => {
    const [problem] = problems;
    return `“${name}”: ${problem === undefined ? 'this is not music that can be read.' : sentence(problem, [])}`;
  };

  /** Reads what is wanted; `accept` is called once it proved readable. */
  async function read(input: PartInput, accept: () => void): Promise<void> {
    const question = questionOf(input);
    shown.refused = null;
    if (question === null) {
      shown.opened = null;
      shown.fault = null;
      accept();
      return;
    }
    shown.busy = true;
    shown.share = 0;
    const reply = await ask(question);
    if (reply.stale) return;
    shown.busy = false;
    if (!reply.ok) {
      shown.fault = `“${question.name}” could not be read to its end: ${reply.reason}.`;
      return;
    }
    if (!reply.value.ok) {
      shown.fault = told(question.name, reply.value.problems);
      if (reply.value.problems[0]?.code === 'part-transposed') shown.refused = input;
      return;
    }
    shown.fault = null;
    shown.opened = reply.value.value;
    shown.mended = null;
    shown.reduced = null;
    shown.planned = null;
    accept();
    void work();
  }

  /** Asks; the answer goes into the view unless something newer was asked. */
  async function into<Q, T>(
    call: Ask<Q, Result<T>>,
    question: Q,
    take: (value: T) => void,
  ): Promise<Reply<Result<T>>> {
    const reply = await call(question);
    if (!reply.stale && reply.ok && reply.value.ok) take(reply.value.value);
    return reply;
  }

  /** Looks for repairs, an arrangement or a plan, as the purpose says. */
  async function work(): Promise<void> {
    const { input, opened } = shown;
    const question = questionOf(input);
    if (question === null || opened === null) return;
    const hasErrors = opened.report.problems.some((p) => p.severity === 'error');
    const levers = input.harp === LEVER_HARP.id;
    // Nothing to mend, or nobody to ask: repairs are known for pedals alone.
    if ((input.purpose === 'check' && !hasErrors) || (input.purpose === 'check' && levers)) {
      shown.mended = null;
      shown.planned = null;
      shown.working = false;
      return;
    }
    shown.working = true;
    shown.share = 0;
    const { repairs, difficulty, refused, chords, retextures } = input;
    const answer =
      input.purpose === 'check'
        ? await into(mend, { ...question, repairs }, (value) => (shown.mended = value))
        : input.purpose === 'plan'
          ? await into(plan, planQuestion(question, input), (value) => (shown.planned = value))
          : await into(
              reduce,
              { ...question, difficulty, refused, chords, retextures },
              (value) => (shown.reduced = value),
            );
    // What another purpose asked meanwhile is another call: its answer counts.
    if (answer.stale || shown.input.purpose !== input.purpose) return;
    shown.working = false;
    if (!answer.ok) shown.fault = `“${question.name}”: the work stopped before its end (${answer.reason}).`;
    else if (!answer.value.ok) shown.fault = told(question.name, answer.value.problems);
  }

  const save = (): void => store.save(encodePart(shown.input));
  const move = (to: History<PartInput>): void => {
    const before = shown.input;
    shown.history = to;
    save();
    if (!sameSource(before, to.present)) void read(to.present, () => undefined);
    else void work();
  };
  /** Takes a part that is not there yet, once it proved readable; what it is likely wanted for is chosen. */
  const take = (next: PartInput): Promise<void> =>
    read(next, () => {
      const purpose = purposeOf(shown.opened?.partName ?? '') ?? next.purpose;
      shown.history = record(shown.history, { ...next, purpose }, null);
      save();
    });

  return {
    view: shown,
    bring: async (file) => {
      if (file.size > LARGEST_FILE) {
        shown.fault = `“${file.name}” has ${Math.round(file.size / 1_048_576)} MB; a part has at most ${LARGEST_FILE / 1_048_576}.`;
        return;
      }
      let bytes: Uint8Array;
      try {
        bytes = new Uint8Array(await file.arrayBuffer());
      } catch {
        shown.fault = `“${file.name}” cannot be opened: it may have been moved since it was chosen.`;
        return;
      }
      const { purpose, difficulty, harp, plan } = shown.input;
      const data = toBase64(bytes);
      await take({ ...NO_PART, purpose, difficulty, harp, plan, file: { name: file.name, data } });
    },
    bringTransposed: async () => {
      if (shown.refused !== null) await take({ ...shown.refused, transposed: true });
    },
    change: (part) => move(record(shown.history, { ...shown.input, ...part }, null)),
    restore: (input) => move(record(shown.history, input, null)),
    stop: () => {
      for (const each of [ask, mend, reduce, plan, file])
        if ('stop' in each) (each as { stop: () => void }).stop();
    },
    progress: (done) => {
      shown.share = done;
    },
    undo: () => move(undo(shown.history)),
    redo: () => move(redo(shown.history)),
    ownFile: async () => {
      const question = questionOf(shown.input);
      if (question === null) return null;
      const { purpose, repairs } = shown.input;
      const asked = purpose === 'plan' ? planQuestion(question, shown.input) : { ...question, repairs };
      const reply = await file(asked);
      if (reply.stale) return null;
      if (reply.ok && reply.value.ok) return reply.value.value;
      shown.fault = reply.ok
        ? told(question.name, reply.value.ok ? [] : reply.value.problems)
        : `“${question.name}” could not be written: ${reply.reason}.`;
      return null;
    },
    flush: () => store.flush(),
    opened: (async () => {
      const text = await keep.read();
      if (text === null || shown.input !== NO_PART) return;
      const input = decodePart(text);
      if (input === null) {
        await keep.aside(text);
        return;
      }
      shown.history = newHistory(input);
      await read(input, () => undefined);
    })(),
  };
}
