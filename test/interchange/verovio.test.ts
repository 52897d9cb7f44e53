// An engraver that is not ours reads what we write: the same notes, pitches and onsets, by id.
import fc from 'fast-check';
import createVerovioModule from 'verovio/wasm';
import { LOG_OFF, VerovioToolkit, enableLog } from 'verovio/esm';
import { beforeAll, describe, expect, it } from 'vitest';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { midiOf } from '../../src/music/pitch';
import { Q, plannedPassages } from './passages';

interface Toolkit {
  setOptions(options: object): void;
  resetXmlIdSeed(seed: number): void;
  loadData(data: string): boolean;
  renderToTimemap(options: object): { on?: string[]; qstamp: number }[];
  getMIDIValuesForElement(id: string): { pitch: number };
}

/** The engraver plays rolled chords spread out, within this many seconds after their onset. */
const ROLL_SPREAD = 0.1;

describe('verovio', () => {
  let toolkit: Toolkit;
  beforeAll(async () => {
    const module = await createVerovioModule();
    // Known gaps, all of them marks and not notes: harp-pedals, damp, damp-all, let-ring ties on the last note.
    enableLog(LOG_OFF, module);
    toolkit = new VerovioToolkit(module) as unknown as Toolkit;
    toolkit.setOptions({ inputFrom: 'musicxml', breaks: 'none' });
  });

  it('reads the same notes at the same onsets', () => {
    let notes = 0;
    fc.assert(
      fc.property(plannedPassages, (planned) => {
        const { passage } = planned;
        toolkit.resetXmlIdSeed(1);
        expect(Boolean(toolkit.loadData(writeMusicXml(planned)))).toBe(true);
        const onsets = new Map<string, number>();
        for (const { on, qstamp } of toolkit.renderToTimemap({})) {
          for (const id of on ?? []) if (!onsets.has(id)) onsets.set(id, qstamp);
        }
        const spread = (ROLL_SPREAD * Math.max(...passage.tempo.map((t) => t.milliBpm))) / 60_000;
        const rolled = new Set(passage.rolls.flatMap((roll) => roll.plucks));
        const wanted = [
          ...passage.plucks.map((p) => ({ id: p.id, onset: p.onset, midi: midiOf(p.pitch) })),
          ...passage.trembles.flatMap((t) =>
            t.notes.map((n) => ({ id: n.id, onset: t.onset, midi: midiOf(n.pitch) })),
          ),
        ];
        for (const { id, onset, midi } of wanted) {
          const at = onsets.get(id);
          expect(at, `${id} in the time map`).toBeDefined();
          const late = (at as number) - onset / Q;
          if (rolled.has(id)) expect(late > -1e-4 && late < spread, `${id} ${late}`).toBe(true);
          else expect(Math.abs(late), `${id} at ${at}`).toBeLessThan(1e-3);
          expect(toolkit.getMIDIValuesForElement(id).pitch).toBe(midi);
          notes++;
        }
        for (const sweep of passage.sweeps) expect(onsets.get(sweep.id)).toBeCloseTo(sweep.onset / Q, 3);
        // Nothing else sounds: only continuations of ties and the small notes that end sweeps.
        const known = new Set([...wanted.map((w) => w.id), ...passage.sweeps.map((s) => s.id)]);
        const others = [...onsets.keys()].filter((id) => !known.has(id.replace(/\.(t\d+|end)$/, '')));
        expect(others).toEqual([]);
      }),
      { numRuns: 35, seed: 8, endOnFailure: true },
    );
    expect(notes).toBeGreaterThan(900);
  });
});
