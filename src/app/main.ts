/** Starts the page: state, workers and player are made here and handed down. */

import '@fontsource-variable/alegreya/wght.css';
import '@fontsource/alegreya-sans/latin-400.css';
import '@fontsource/alegreya-sans/latin-500.css';
import '@fontsource/alegreya-sans/latin-700.css';
import '../ui/style.css';
import { mount } from 'svelte';
import { createPlayer } from '../playback/player';
import App from '../ui/App.svelte';
import {
  engravingClient,
  mendClient,
  partFileClient,
  openClient,
  planClient,
  proposeClient,
  reduceClient,
} from '../worker/client';
import { browserKeep } from './keep';
import { createListening } from './listening.svelte';
import { createMidiChoice } from './midi.svelte';
import { type PartDesk, createPartDesk } from './part.svelte';
import { createApp } from './state.svelte';

const app = createApp({ ask: proposeClient(), keep: browserKeep('work') });
const told = (share: number): void => part.progress(share);
const part: PartDesk = createPartDesk({
  ask: openClient(told),
  mend: mendClient(told),
  reduce: reduceClient(told),
  plan: planClient(),
  file: partFileClient(),
  keep: browserKeep('part'),
});
const flush = (): void => {
  app.flush();
  part.flush();
};
addEventListener('pagehide', flush);
document.addEventListener('visibilitychange', () => {
  if (document.visibilityState === 'hidden') flush();
});

const target = document.getElementById('page');
if (target === null) throw new Error('The page has no place for the program.');

/** A page set in its own face from the first paint does not shift; a slow network is not waited for. */
const faces = ['1rem "Alegreya Sans"', '500 1rem "Alegreya Sans"', '500 1rem "Alegreya Variable"'];
await Promise.race([
  Promise.allSettled(faces.map((face) => document.fonts.load(face))),
  new Promise((resolve) => setTimeout(resolve, 400)),
]);
const listening = createListening(createPlayer);
const midi = createMidiChoice(listening.setMidi, 'requestMIDIAccess' in navigator);
mount(App, { target, props: { app, part, engraving: engravingClient(), listening, midi } });
