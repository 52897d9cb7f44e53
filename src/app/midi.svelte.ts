/** The choice of a MIDI instrument: asked for when the user wants one, never before. */

import { type MidiInstruments, type MidiOut, findMidiInstruments } from '../playback/midi-out';

export type MidiState = 'unasked' | 'asking' | 'refused' | 'ready';

export interface MidiChoice {
  /** Whether this browser has MIDI at all. */
  readonly offered: boolean;
  readonly state: MidiState;
  readonly instruments: readonly { readonly id: string; readonly name: string }[];
  /** Id of the instrument that plays, or '' for none. */
  readonly chosen: string;
  /** The strings here are silent while an instrument plays. */
  readonly alone: boolean;
  /** Asks the browser, which may ask the user. Call it in the gesture. */
  ask(): void;
  choose(id: string): void;
  setAlone(on: boolean): void;
}

/** `use` is told the instrument that plays now, or null. */
export function createMidiChoice(
  use: (out: MidiOut | null, alone: boolean) => void,
  offered: boolean,
  find: typeof findMidiInstruments = findMidiInstruments,
): MidiChoice {
  let state = $state<MidiState>('unasked');
  let list = $state.raw<MidiChoice['instruments']>([]);
  let chosen = $state('');
  let alone = $state(false);
  let found: MidiInstruments | null = null;
  let out: MidiOut | null = null;

  const choose = (id: string): void => {
    out = id === '' ? null : (found?.open(id) ?? null);
    chosen = out === null ? '' : id;
    use(out, alone);
  };
  const look = (): void => {
    list = found?.list() ?? [];
    if (chosen !== '' && !list.some((port) => port.id === chosen)) choose('');
  };

  return {
    offered,
    get state() {
      return state;
    },
    get instruments() {
      return list;
    },
    get chosen() {
      return chosen;
    },
    get alone() {
      return alone;
    },
    ask: () => {
      state = 'asking';
      void find().then((answer) => {
        if (!answer.ok) {
          state = 'refused';
          return;
        }
        found = answer.value;
        found.onChange(look);
        state = 'ready';
        look();
      });
    },
    choose,
    setAlone: (on) => {
      alone = on;
      use(out, alone);
    },
  };
}
