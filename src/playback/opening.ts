/** Opens the audio system once, when it is first needed, with its renderer and its store of strings. */

import type { Desk } from './desk';
import type { StringRenderer } from './renderer';
import { type StringStore, createStringStore } from './string-store';

export interface Opened<B> {
  readonly desk: Desk<B>;
  readonly store: StringStore<B>;
}

export interface Opening<B> {
  /** The audio system; rejects where there is none, and tries anew at the next call. */
  open(): Promise<Opened<B>>;
  /** Null until it is open. */
  readonly now: Opened<B> | null;
  dispose(): void;
}

/** `onOpen` is called once with the desk, `onReady` whenever a string has been rendered. */
export function createOpening<B>(
  parts: { readonly desk: () => Promise<Desk<B>>; readonly renderer: () => StringRenderer },
  onOpen: (desk: Desk<B>) => void,
  onReady: () => void,
): Opening<B> {
  let disposed = false;
  let renderer: StringRenderer | null = null;
  let now: Opened<B> | null = null;
  let opening: Promise<Opened<B>> | null = null;
  return {
    open: () => {
      opening ??= parts
        .desk()
        .then((desk) => {
          if (disposed) {
            desk.dispose();
            throw new Error('the player has been disposed of');
          }
          renderer = parts.renderer();
          onOpen(desk);
          const store = createStringStore(desk.sampleRate, renderer, desk.buffer, desk.bytesOf, onReady);
          now = { desk, store };
          return now;
        })
        .catch((reason: unknown) => {
          opening = null;
          throw reason;
        });
      return opening;
    },
    get now() {
      return now;
    },
    dispose: () => {
      disposed = true;
      renderer?.dispose();
      now?.desk.dispose();
      now = null;
    },
  };
}
