/** The player against a desk whose time the test moves. */
import { describe, expect, it } from 'vitest';
import { createPlayerFrom } from '../../src/playback/player';
import type { Player } from '../../src/playback/types';
import { countingRenderer, createFakeDesk } from './fake-desk';
import { damped, note, relative, setUp } from './set-up';

const idsOf = (player: Player): string[] => {
  const ids: string[] = [];
  player.on('note', (n) => ids.push(n.id));
  return ids;
};

describe('player', () => {
  it('starts every note at its time, tells of it when it sounds, and ends', async () => {
    const { desk, player } = setUp();
    const notes = Array.from({ length: 48 }, (_, i) => note(`n${i}`, (i * 5) % 47, i / 16));
    const ids = idsOf(player);
    const states: string[] = [];
    let ends = 0;
    player.on('state', (s) => states.push(s));
    player.on('end', () => ends++);
    player.load([...notes].reverse(), 3.5);
    await player.play();
    expect(player.state).toBe('playing');
    await desk.pass(1.5);
    expect(ids.length).toBeGreaterThan(18);
    expect(ids.length).toBeLessThan(25);
    await desk.pass(2.5);
    expect(relative(desk)).toEqual(notes.map((_, i) => Math.round((i / 16) * 1e4) / 1e4));
    expect(ids).toEqual(notes.map((n) => n.id));
    expect(player.notesStarted).toBe(48);
    expect(states).toEqual(['preparing', 'playing', 'stopped']);
    expect(ends).toBe(1);
    // What rings at the end is not cut off.
    expect(desk.closed.size).toBe(0);
  });

  it('gives notes to the desk at least a quarter of a second ahead', async () => {
    const { desk, player } = setUp();
    player.load([note('a', 10, 0), note('b', 11, 1)], 2);
    await player.play();
    const start = desk.started[0]!.at;
    while (desk.started.length < 2) await desk.pass(0.05);
    expect(start + 1 - desk.time()).toBeGreaterThan(0.25);
    expect(start + 1 - desk.time()).toBeLessThan(0.4);
  });

  it('drops nothing when ticks come late', async () => {
    const { desk, player } = setUp();
    player.load(
      Array.from({ length: 32 }, (_, i) => note(`n${i}`, i, i / 16)),
      2,
    );
    await player.play();
    await desk.pass(3, 1);
    expect(player.notesStarted).toBe(32);
  });

  it('renders each sound once, first needed first, and here when the worker is lost', async () => {
    const { desk, renderer, player } = setUp();
    player.load(
      [
        note('c', 30, 1),
        note('a', 10, 0),
        note('b', 20, 0.5),
        note('d', 10, 2),
        note('e', 10, 3, { dynamic: 'ff' }),
      ],
      4,
    );
    await player.play();
    await desk.pass(5);
    expect(renderer.rendered).toEqual([
      '10/0/ordinary/medium',
      '20/0/ordinary/medium',
      '30/0/ordinary/medium',
      '10/0/ordinary/loud',
    ]);

    const broken = setUp();
    broken.renderer.fail = true;
    broken.player.load([note('a', 40, 0), note('b', 41, 0.5)], 1);
    await broken.player.play();
    await broken.desk.pass(2);
    expect(broken.desk.started.length).toBe(2);
    expect(broken.desk.started.every((s) => s.samples.some((x) => Math.abs(x) > 0.01))).toBe(true);
  });

  it('stops a string’s old sound when it is plucked again, and damps when told', async () => {
    const { desk, player } = setUp();
    player.load(
      [note('a', 10, 0), note('b', 10, 1), damped('c', 20, 0, 0.5), damped('d', 21, 0, 2), note('e', 21, 1)],
      3,
    );
    await player.play();
    await desk.pass(4);
    const start = desk.started[0]!.at;
    const after = (i: number): number => Math.round((desk.started[i]!.stopped!.at - start) * 1000) / 1000;
    expect(after(0)).toBe(1);
    expect(desk.started[0]!.stopped!.fade).toBeLessThan(0.02);
    expect(after(1)).toBe(0.5);
    // String 21 is plucked again before its damp: the damp of the old note does not touch the new one.
    expect(after(2)).toBe(1);
    expect(desk.started[4]!.stopped).toBeNull();
  });

  it('plays from a place, and after a stop nothing more', async () => {
    const { desk, player } = setUp();
    const ids = idsOf(player);
    player.load(
      [0, 1, 2, 3].map((t) => note(`n${t}`, 10 + t, t)),
      4,
    );
    await player.play(2);
    await desk.pass(0.5);
    expect(ids).toEqual(['n2']);
    player.stop();
    expect(player.state).toBe('stopped');
    expect(desk.closed.has(1)).toBe(true);
    const count = desk.started.length;
    await desk.pass(3);
    expect(desk.started.length).toBe(count);
    expect(ids).toEqual(['n2']);
  });

  it('plays twice as fast at rate 2, and changes rate without a jump', async () => {
    const { desk, player } = setUp();
    const notes = Array.from({ length: 9 }, (_, i) => note(`n${i}`, 10 + i, i / 2));
    player.load(notes, 5);
    player.setRate(2);
    await player.play();
    await desk.pass(4);
    expect(relative(desk)).toEqual(notes.map((_, i) => i / 4));

    const other = setUp();
    const seconds: number[] = [];
    other.player.on('progress', (p) => seconds.push(p.seconds));
    other.player.load(notes, 5);
    await other.player.play();
    await other.desk.pass(1);
    other.player.setRate(0.5);
    await other.desk.pass(0.1);
    other.player.setRate(2);
    await other.desk.pass(3);
    const at = relative(other.desk);
    expect(at.length).toBe(9);
    for (let i = 1; i < at.length; i++) expect(at[i]!).toBeGreaterThan(at[i - 1]!);
    expect(at[8]! - at[7]!).toBeCloseTo(0.25, 3);
    for (let i = 1; i < seconds.length; i++)
      expect(seconds[i]! - seconds[i - 1]!).toBeGreaterThanOrEqual(-1e-9);
    for (let i = 1; i < seconds.length; i++) expect(seconds[i]! - seconds[i - 1]!).toBeLessThan(0.15);
  });

  it('waits for a suspended system, and can be stopped while it waits', async () => {
    const { desk, player } = setUp();
    player.load([note('a', 10, 0)], 1);
    desk.allow(false);
    const playing = player.play();
    await Promise.resolve();
    expect(player.state).toBe('preparing');
    desk.allow(true);
    await playing;
    expect(player.state).toBe('playing');
    player.stop();

    desk.allow(false);
    const second = player.play();
    player.stop();
    desk.allow(true);
    await second;
    expect(player.state).toBe('stopped');
  });

  it('lets a second press replace the first', async () => {
    const { desk, player } = setUp();
    player.load([note('a', 10, 0), note('b', 11, 1)], 2);
    const [first, second] = [player.play(), player.play(1)];
    await Promise.all([first, second]);
    await desk.pass(0.3);
    expect(player.state).toBe('playing');
    expect(desk.started.length).toBe(1);
  });

  it('keeps its place through an interruption', async () => {
    const { desk, player } = setUp();
    player.load(
      [0, 1, 2].map((t) => note(`n${t}`, 10 + t, t)),
      3,
    );
    await player.play();
    await desk.pass(0.5);
    desk.allow(false);
    await desk.pass(60, 1);
    expect(player.notesStarted).toBe(1);
    desk.allow(true);
    await desk.pass(4);
    expect(relative(desk)).toEqual([0, 1, 2]);
  });

  it('starts quiet and keeps the volume within bounds', async () => {
    const { desk, player } = setUp();
    player.load([note('a', 10, 0)], 1);
    await player.play();
    expect(desk.volume).toBe(-18);
    player.setVolume(20);
    expect(desk.volume).toBe(0);
    player.setVolume(-100);
    expect(desk.volume).toBe(-60);
  });

  it('sounds a string under the hand at once, beside what plays, the old one stopped', async () => {
    const { desk, player } = setUp();
    await player.pluck(note('x', 25, 7));
    await player.pluck(note('y', 25, 7));
    expect(desk.started.length).toBe(2);
    expect(desk.started[0]!.at - desk.time()).toBeLessThan(0.05);
    expect(desk.started[0]!.stopped).not.toBeNull();
    player.load([note('a', 10, 0)], 1);
    await player.play();
    await desk.pass(2);
    expect(desk.started.length).toBe(3);
    expect(desk.started[1]!.stopped).toBeNull();
    expect(player.notesStarted).toBe(1);
  });

  it('says so when there is no audio, and can try again', async () => {
    let silent = true;
    const desk = createFakeDesk();
    const player = createPlayerFrom({
      desk: () => (silent ? Promise.reject(new Error('no audio system')) : Promise.resolve(desk)),
      renderer: countingRenderer,
    });
    player.load([note('a', 10, 0)], 1);
    await expect(player.play()).rejects.toThrow('no audio system');
    expect(player.state).toBe('stopped');
    silent = false;
    await player.play();
    expect(player.state).toBe('playing');
    expect(player.notesStarted).toBe(1);
  });

  it('plays an empty passage to its end, and is silent once disposed of', async () => {
    const { desk, player } = setUp();
    let ends = 0;
    player.on('end', () => ends++);
    player.load([], 0);
    await player.play();
    await desk.pass(0.5);
    expect(ends).toBe(1);
    player.dispose();
    expect(desk.disposed).toBe(true);
  });
});
