/** The transport: pause, seek, loop, count-in, tempo; what rings along; and MIDI beside it. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { micros } from '../../src/base/units';
import { seededRandom } from '../../src/base/random';
import { NATURAL_SETTING } from '../../src/harp/setting';
import { createMidiOut } from '../../src/playback/midi-out';
import { createTimeline, rateForTempo } from '../../src/playback/schedule';
import { fakePort } from './fake-port';
import { damped, note, relative, setUp } from './set-up';

const line = (count: number, step: number) =>
  Array.from({ length: count }, (_, i) => note(`n${i}`, 10 + i, i * step));

describe('pause and seek', () => {
  it('keeps its place, falls silent, and goes on from there', async () => {
    const { desk, player } = setUp();
    const ids: string[] = [];
    player.on('note', (n) => ids.push(n.id));
    player.load(line(8, 0.5), 4);
    await player.play();
    await desk.pass(1.2);
    player.pause();
    expect(player.state).toBe('paused');
    expect(player.seconds).toBeGreaterThan(1);
    expect(player.seconds).toBeLessThan(1.25);
    expect(desk.closed.has(1)).toBe(true);
    const before = desk.started.length;
    await desk.pass(5);
    expect(desk.started.length).toBe(before);
    expect(ids).toEqual(['n0', 'n1', 'n2']);
    await player.play();
    await desk.pass(4);
    expect(ids).toEqual(['n0', 'n1', 'n2', 'n3', 'n4', 'n5', 'n6', 'n7']);
    expect(player.state).toBe('stopped');
    expect(player.seconds).toBe(0);
  });

  it('plays on from where it is sent, and remembers it when it stands still', async () => {
    const { desk, player } = setUp();
    const ids: string[] = [];
    const states: string[] = [];
    player.on('note', (n) => ids.push(n.id));
    player.on('state', (s) => states.push(s));
    player.load(line(8, 0.5), 4);
    player.seek(3);
    expect(player.seconds).toBe(3);
    await player.play();
    await desk.pass(0.2);
    expect(ids).toEqual(['n6']);
    player.seek(1);
    await desk.pass(0.4);
    expect(ids).toEqual(['n6', 'n2']);
    // On the way the page sees no other state than playing.
    expect(states).toEqual(['preparing', 'playing']);
    player.seek(99);
    await desk.pass(1);
    expect(player.state).toBe('stopped');
  });

  it('takes up what rang at that place, and only that', async () => {
    const { desk, player } = setUp();
    player.load(
      [
        note('old', 10, 0),
        note('again', 10, 0.95),
        note('short', 45, 0),
        damped('damped', 12, 0, 0.5),
        damped('later', 13, 0.95, 2),
        note('new', 30, 1.5),
      ],
      3,
    );
    await new Promise((resolve) => setTimeout(resolve, 20));
    await player.play(1);
    const taken = desk.started.filter((s) => s.offset > 0);
    expect(taken.map((s) => Math.round(s.offset * 100))).toEqual([5, 5]);
    await desk.pass(2);
    const start = taken[0]!.at;
    expect(desk.started.length).toBe(3);
    expect(player.notesStarted).toBe(1);
    // Its damp finds it.
    expect(taken[1]!.stopped!.at - start).toBeCloseTo(1, 3);
  });

  it('can be paused while it prepares', async () => {
    const { desk, player } = setUp();
    player.load(line(4, 0.5), 2);
    desk.allow(false);
    const playing = player.play(1);
    player.pause();
    desk.allow(true);
    await playing;
    expect(player.state).toBe('paused');
    expect(player.seconds).toBe(1);
    expect(desk.started.length).toBe(0);
  });
});

describe('loop', () => {
  it('turns back in time, again and again, without a gap, and plays on when it is lifted', async () => {
    const { desk, player } = setUp();
    const ids: string[] = [];
    let ends = 0;
    player.on('note', (n) => ids.push(n.id));
    player.on('end', () => ends++);
    player.load(line(8, 0.25), 2);
    player.setLoop({ from: 0.5, to: 1.25 });
    await player.play();
    await desk.pass(5);
    expect(ends).toBe(0);
    expect(player.seconds).toBeLessThan(1.25);
    const at = relative(desk);
    for (let i = 1; i < at.length; i++) expect(at[i]! - at[i - 1]!).toBeCloseTo(0.25, 3);
    expect(ids.slice(0, 11)).toEqual(['n0', 'n1', 'n2', 'n3', 'n4', 'n2', 'n3', 'n4', 'n2', 'n3', 'n4']);
    player.setLoop(null);
    await desk.pass(4);
    expect(ids.at(-1)).toBe('n7');
    expect(ends).toBe(1);
  });

  it('comes into a loop that lies before it, and takes none that is too short', async () => {
    const { desk, player } = setUp();
    const ids: string[] = [];
    player.on('note', (n) => ids.push(n.id));
    player.load(line(8, 0.25), 2);
    player.setLoop({ from: 0, to: 0.5 });
    await player.play(1.5);
    await desk.pass(1.4);
    expect(ids.slice(0, 4)).toEqual(['n0', 'n1', 'n0', 'n1']);
    player.stop();
    player.setLoop({ from: 1, to: 1.01 });
    await player.play();
    await desk.pass(4);
    expect(player.state).toBe('stopped');
  });
});

describe('count-in', () => {
  it('clicks before the first note, in tempo, and tells the beats', async () => {
    const { desk, player } = setUp();
    const beats: number[] = [];
    player.on('count', (c) => beats.push(c.beat / c.of));
    player.load(line(2, 0.5), 1);
    player.setCountIn({ beats: 4, seconds: 0.5 });
    player.setRate(2);
    await player.play();
    const seconds: number[] = [];
    player.on('progress', (p) => seconds.push(p.seconds));
    await desk.pass(0.9);
    expect(beats).toEqual([0.25, 0.5, 0.75, 1]);
    expect(Math.max(...seconds)).toBe(0);
    await desk.pass(1.5);
    expect(relative(desk)).toEqual([0, 0.25, 0.5, 0.75, 1, 1.25]);
    expect(player.notesStarted).toBe(2);
    expect(desk.started[0]!.samples.some((x) => Math.abs(x) > 0.01)).toBe(true);
  });

  it('is not repeated by a seek while playing', async () => {
    const { desk, player } = setUp();
    player.load(line(4, 0.5), 2);
    player.setCountIn({ beats: 2, seconds: 0.3 });
    await player.play();
    await desk.pass(1);
    const before = desk.started.length;
    player.seek(1);
    await desk.pass(0.1);
    expect(desk.started.slice(before).filter((s) => s.offset === 0).length).toBe(1);
  });
});

describe('tempo', () => {
  it('keeps the wanted tempo between 30 and 240', () => {
    expect(rateForTempo(96, 96)).toBe(1);
    expect(rateForTempo(60, 240)).toBe(4);
    expect(rateForTempo(60, 1000)).toBe(4);
    expect(rateForTempo(240, 1)).toBe(0.125);
    expect(rateForTempo(30, 240)).toBe(8);
  });

  it('has a timeline without gaps, whatever turns it takes', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 0, max: 100 }), fc.integer({ min: 1, max: 16 })), {
          maxLength: 12,
        }),
        (turns) => {
          const timeline = createTimeline();
          timeline.start(10, 0, 1);
          for (const [ahead, eighths] of turns) {
            const at = timeline.lastTurn + ahead / 100;
            timeline.turn(at, timeline.placeAt(at), eighths / 8);
          }
          let before = timeline.placeAt(10);
          const end = timeline.lastTurn + 1;
          for (let t = 10; t < end; t += 0.01) {
            const place = timeline.placeAt(t);
            expect(place - before).toBeGreaterThanOrEqual(-1e-9);
            expect(place - before).toBeLessThanOrEqual(0.0201);
            before = place;
            timeline.forget(t);
            expect(timeline.placeAt(t)).toBe(place);
          }
          expect(timeline.placeAt(timeline.audioAt(before))).toBeCloseTo(before, 9);
        },
      ),
      { numRuns: 50 },
    );
  });
});

describe('what rings along', () => {
  it('bends a string when its pedal moves, and not once it has been plucked again', async () => {
    const { desk, player } = setUp();
    const bends = [{ at: micros(1_000_000), semitones: 1 }];
    player.load([note('a', 10, 0, { bends }), note('b', 20, 0, { bends }), note('c', 20, 0.5)], 2);
    await player.play();
    await desk.pass(2.5);
    const start = desk.started[0]!.at;
    const bent = desk.started[0]!.bent;
    expect(bent.length).toBe(1);
    expect(bent[0]!.at + bent[0]!.seconds - start).toBeCloseTo(1, 3);
    expect(bent[0]!.speed).toBeCloseTo(2 ** (1 / 12), 9);
    expect(desk.started.filter((s) => s.bent.length > 0).length).toBe(1);
  });

  it('glides for a fifth of a second where a slide is written, in its own time', async () => {
    const { desk, player } = setUp();
    const bends = [{ at: micros(1_000_000), semitones: -1, slide: true as const }];
    player.load([note('a', 10, 0, { bends })], 2);
    await player.play();
    await desk.pass(2.5);
    const { at, bent } = desk.started[0]!;
    expect(bent.length).toBe(1);
    expect(bent[0]!.seconds).toBeCloseTo(0.2, 9);
    expect(bent[0]!.at + bent[0]!.seconds - at).toBeCloseTo(1, 3);
    expect(bent[0]!.speed).toBeCloseTo(2 ** (-1 / 12), 9);
  });

  it('lets the open strings answer, and damps them with the string', async () => {
    const { desk, renderer, player } = setUp();
    player.load(
      [damped('a', 21, 0.2, 1), note('x', 30, 0)].map((n) => ({ ...n, setting: NATURAL_SETTING })),
      2,
    );
    await new Promise((resolve) => setTimeout(resolve, 20));
    await player.play();
    await desk.pass(2.5);
    expect(desk.started.length).toBe(4);
    expect(renderer.rendered.length).toBe(4);
    expect(player.notesStarted).toBe(2);
    const together = desk.started.filter((s) => Math.abs(s.at - desk.started[0]!.at - 0.2) < 1e-6);
    expect(together.length).toBe(2);
    for (const s of together) expect(s.stopped!.at - s.at).toBeCloseTo(0.8, 3);
  });

  it('is uneven where it was made so, and exact when asked', async () => {
    const notes = line(12, 0.25);
    const exact = notes.map((_, i) => i * 0.25);
    const loose = setUp({ uneven: seededRandom(3) });
    loose.player.load(notes, 3);
    await loose.player.play();
    await loose.desk.pass(4);
    const off = relative(loose.desk).map((t, i) => Math.abs(t - exact[i]!));
    expect(Math.max(...off)).toBeGreaterThan(0.001);
    expect(Math.max(...off)).toBeLessThan(0.015);
    const strict = setUp({ uneven: seededRandom(3) });
    strict.player.setUneven(false);
    strict.player.load(notes, 3);
    await strict.player.play();
    await strict.desk.pass(4);
    expect(relative(strict.desk)).toEqual(exact);
  });

  it('has a room that can be turned off', async () => {
    const { desk, player } = setUp();
    player.prepare();
    await desk.pass(0.1);
    expect(desk.room).toBe(true);
    player.setRoom(false);
    expect(desk.room).toBe(false);
  });
});

describe('MIDI beside the player', () => {
  it('gets every note at its time, in place of the strings where it plays alone', async () => {
    const { desk, player } = setUp({ clock: () => 5000 });
    const port = fakePort();
    player.load([note('a', 21, 0), damped('b', 23, 0.25, 0.5)], 1);
    player.setMidi(createMidiOut(port, { now: () => 5000 }), true);
    await player.play();
    await desk.pass(0.6);
    expect(desk.started.length).toBe(0);
    expect(player.notesStarted).toBe(2);
    const [program, first, second, off] = port.sent.filter((m) => (m.data[0]! & 0xf0) !== 0xb0);
    expect(program!.data).toEqual([0xc0, 46]);
    expect(first!.data).toEqual([0x90, 60, 75]);
    expect(second!.data).toEqual([0x90, 64, 75]);
    expect(off!.data).toEqual([0x80, 64, 0]);
    expect(first!.at).toBeGreaterThan(5000);
  });

  it.each(['stop', 'pause', 'dispose'] as const)('falls silent on %s', async (how) => {
    const { desk, player } = setUp({ clock: () => 5000 });
    const port = fakePort();
    player.load(line(6, 0.1), 1);
    player.setMidi(createMidiOut(port, { now: () => 5000 }));
    await player.play();
    await desk.pass(0.3);
    expect(port.ringing().size).toBeGreaterThan(3);
    player[how]();
    expect(port.ringing().size).toBe(0);
    expect(port.sent.at(-1)!.data).toEqual([0xb0, 123, 0]);
    expect(desk.started.length).toBeGreaterThan(0);
  });

  it('lets go of what rings after the end', async () => {
    const { desk, player } = setUp({ clock: () => 5000 });
    const port = fakePort();
    player.load(line(3, 0.1), 0.5);
    player.setMidi(createMidiOut(port, { now: () => 5000 }));
    await player.play();
    await desk.pass(1);
    expect(port.ringing().size).toBe(0);
    expect(port.sent.at(-1)!.at).toBe(8000);
  });
});
