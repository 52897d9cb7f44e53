// A score that is changed keeps all that no change names, and shows exactly the changes that were made.
import fc from 'fast-check';
import { strFromU8, strToU8, unzipSync, zipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { type ScoreEdit, patchMusicXml, patchMusicXmlText } from '../../src/interchange/musicxml-patch';
import { type ReadPart, readMusicXml } from '../../src/interchange/musicxml-read';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { readPart } from '../../src/interchange/read-part';
import { barAt } from '../../src/music/metre';
import type { Pluck } from '../../src/music/passage';
import { pitchName } from '../../src/music/pitch';
import { stringPitch } from '../../src/harp/strings';
import { dataBytes, dataFiles, hasData, needsData } from '../shared/data';
import { plannedPassages } from './passages';
import { schemaErrors } from './schema';

const read = (xml: string): ReadPart => {
  const back = readMusicXml(xml);
  if (!back.ok) throw new Error(JSON.stringify(back.problems));
  return back.value;
};
const patched = (xml: string, edits: readonly ScoreEdit[]): string => {
  const out = patchMusicXmlText(xml, edits);
  if (!out.ok) throw new Error(JSON.stringify(out.problems));
  return out.value;
};
const plain = (p: Pluck) =>
  [p.onset, p.duration, pitchName(p.pitch), p.hand, p.technique, p.finger, p.dynamic, p.ring ?? false].join(
    ' ',
  );
const sorted = (part: ReadPart) => part.passage.plucks.map(plain).sort();

describe('changing a score', () => {
  it('without changes is the same file, byte for byte, in every encoding', () => {
    fc.assert(
      fc.property(plannedPassages, (planned) => {
        const xml = writeMusicXml(planned);
        expect(patched(xml, [])).toBe(xml);
        const crlf = `\ufeff${xml.replace(/\n/g, '\r\n')}`;
        const utf16 = new Uint8Array(2 * crlf.length);
        for (let i = 0; i < crlf.length; i++) new DataView(utf16.buffer).setUint16(2 * i, crlf.charCodeAt(i));
        const latin = Uint8Array.from(xml.replace('UTF-8', 'ISO-8859-1').replace(/[^\x00-\xff]/g, '?'), (c) =>
          c.charCodeAt(0),
        );
        for (const bytes of [strToU8(xml), strToU8(crlf), utf16, latin]) {
          const out = patchMusicXml(bytes, []);
          expect(out.ok && Buffer.from(out.value).equals(Buffer.from(bytes))).toBe(true);
        }
        const zipped = zipSync({ 'META-INF/x.txt': strToU8('x'), 'a.musicxml': strToU8(xml) });
        const out = patchMusicXml(zipped, []);
        if (!out.ok) throw new Error('refused');
        const entries = unzipSync(out.value);
        expect(Object.keys(entries)).toEqual(['META-INF/x.txt', 'a.musicxml']);
        expect(strFromU8(entries['a.musicxml'] as Uint8Array)).toBe(xml);
      }),
      { numRuns: 10, seed: 5 },
    );
  });

  it('writes what an encoding lacks as references', () => {
    const [planned] = fc.sample(plannedPassages, { numRuns: 1, seed: 3 });
    const xml = writeMusicXml(planned as NonNullable<typeof planned>)
      .replace('UTF-8', 'ISO-8859-1')
      .replace(/[^\x00-\xff]/g, '');
    const latin = Uint8Array.from(xml, (c) => c.charCodeAt(0));
    const out = patchMusicXml(latin, [
      { kind: 'words', place: { part: 'P1', measure: 0, at: 0 }, text: 'F♯', placement: 'below', staff: 2 },
    ]);
    if (!out.ok) throw new Error('refused');
    expect(String.fromCharCode(...out.value)).toContain('<words>F&#9839;</words>');
    const back = readPart('x.xml', out.value);
    expect(back.ok && back.value.markings.moves[0]).toEqual({ onset: 0, letter: 'F', to: 1 });
  });

  it('shows exactly the changes that were made', () => {
    const made = { pitch: 0, remove: 0, add: 0, roll: 0, technique: 0, voice: 0 };
    fc.assert(
      fc.property(
        plannedPassages,
        fc.array(fc.tuple(fc.nat(1000), fc.nat(9), fc.nat(46)), { minLength: 1, maxLength: 8 }),
        (planned, choices) => {
          const xml = writeMusicXml(planned);
          const before = read(xml);
          const expected = new Map(before.passage.plucks.map((p) => [p.id, p]));
          const rolled = new Map(before.passage.rolls.map((r) => [r.id, new Set(r.plucks)]));
          const bracketed = new Set(
            before.passage.rolls
              .filter((r) => r.direction === 'none')
              .map((r) => expected.get(r.plucks[0] as string)?.onset),
          );
          const edits: ScoreEdit[] = [];
          const used = new Set<string>();
          choices.forEach(([which, what, string], i) => {
            const pluck = before.passage.plucks[which % Math.max(1, before.passage.plucks.length)];
            if (pluck === undefined || used.has(pluck.id)) return;
            // What a bracket holds is told by its ends: whatever moves in or out of it changes it.
            if ((what < 3 || what === 8) && bracketed.has(pluck.onset)) return;
            const notes = before.sources.get(pluck.id) ?? [];
            const pitch = stringPitch(string, ((what % 3) - 1) as -1 | 0 | 1);
            const now = expected.get(pluck.id) as Pluck;
            const clash = [...expected.values()].some(
              (p) => p.onset === pluck.onset && pitchName(p.pitch) === pitchName(pitch),
            );
            if (what < 3) {
              if (clash) return;
              edits.push({ kind: 'pitch', notes, pitch });
              expected.set(pluck.id, { ...now, pitch });
              made.pitch++;
            } else if (what < 6) {
              edits.push({ kind: 'remove', notes });
              expected.delete(pluck.id);
              for (const ids of rolled.values()) ids.delete(pluck.id);
              made.remove++;
            } else if (what < 7) {
              const bar = barAt(before.passage.bars, pluck.onset);
              if (pluck.onset + pluck.duration > bar.start + bar.length || clash) return;
              const at = pluck.onset - bar.start;
              const hand = pluck.hand === 'R' ? 5 : 1;
              edits.push({
                kind: 'add',
                place: { part: 'P1', measure: bar.index, at },
                duration: pluck.duration,
                pitch,
                voice: hand,
                staff: hand === 1 ? 1 : 2,
                technique: 'etouffe',
                id: `new${i}`,
              });
              expected.set(`new${i}`, {
                ...now,
                id: `new${i}`,
                pitch,
                hand: hand === 1 ? 'R' : 'L',
                technique: 'etouffe',
                finger: null,
                dynamic: 'p',
                ring: false,
              });
              made.add++;
            } else if (what < 8) {
              edits.push({ kind: 'technique', notes: notes.slice(0, 1), technique: 'nail' });
              expected.set(pluck.id, { ...now, technique: 'nail' });
              made.technique++;
            } else if (what < 9) {
              const voice = pluck.hand === 'R' ? 6 : 2;
              edits.push({ kind: 'voice', notes, voice, staff: voice === 2 ? 1 : 2 });
              expected.set(pluck.id, { ...now, hand: voice === 2 ? 'R' : 'L' });
              for (const ids of rolled.values()) ids.delete(pluck.id);
              made.voice++;
            } else {
              const chord = before.passage.plucks.filter(
                (p) => p.onset === pluck.onset && p.hand === pluck.hand,
              );
              if (chord.length < 2 || chord.some((p) => used.has(p.id))) return;
              edits.push({
                kind: 'roll',
                notes: chord.flatMap((p) => before.sources.get(p.id)?.slice(0, 1) ?? []),
                direction: 'down',
              });
              for (const p of chord) used.add(p.id);
              for (const ids of rolled.values()) for (const p of chord) ids.delete(p.id);
              rolled.set(`e${i}`, new Set(chord.map((p) => p.id)));
              made.roll++;
            }
            used.add(pluck.id);
          });
          const out = patched(xml, edits);
          expect(schemaErrors(out)).toBeNull();
          const after = read(out);
          // Loudness follows the dynamics that stand, and words tell a technique once no note carries it.
          const view = (p: Pluck) => plain({ ...p, dynamic: 'mf', finger: null, technique: 'ordinary' });
          for (const edit of edits) {
            if (edit.kind !== 'technique') continue;
            const id = [...before.sources].find(([, own]) => own[0] === edit.notes[0])?.[0];
            const now = after.passage.plucks.find((p) => p.id === id);
            expect(now?.technique).toBe(edit.technique);
          }
          expect(after.passage.plucks.map(view).sort()).toEqual([...expected.values()].map(view).sort());
          expect(after.passage.bars).toEqual(before.passage.bars);
          expect(after.passage.sweeps).toEqual(before.passage.sweeps);
          expect(after.markings).toEqual(before.markings);
          const added = new Set(edits.flatMap((e) => (e.kind === 'add' ? [e.id] : [])));
          const groups = after.passage.rolls
            .map((r) =>
              r.plucks
                .filter((id) => !added.has(id))
                .sort()
                .join(),
            )
            .sort();
          expect(groups).toEqual(
            [...rolled.values()]
              .filter((ids) => ids.size > 1)
              .map((ids) => [...ids].sort().join())
              .sort(),
          );
        },
      ),
      { numRuns: 50, seed: 6 },
    );
    for (const [kind, count] of Object.entries(made)) expect(count, kind).toBeGreaterThan(8);
  });

  it('takes pedals out and puts new ones in', () => {
    fc.assert(
      fc.property(
        plannedPassages,
        fc.array(fc.tuple(fc.nat(10_000), fc.nat(2186)), { maxLength: 5 }),
        (planned, wanted) => {
          const xml = writeMusicXml(planned);
          const { passage } = read(xml);
          const end = passage.bars.reduce((sum, bar) => sum + bar.length, 0);
          const places = wanted.map(([when, setting]) => ({
            onset: ticks((when % Math.floor(end / 420)) * 420),
            setting,
          }));
          const edits: ScoreEdit[] = places.map(({ onset, setting }) => {
            const bar = barAt(passage.bars, onset);
            return {
              kind: 'pedals',
              place: { part: 'P1', measure: bar.index, at: onset - bar.start },
              setting,
            };
          });
          const out = patched(xml, [{ kind: 'clear-pedals', part: 'P1' }, ...edits]);
          expect(schemaErrors(out)).toBeNull();
          const back = read(out);
          expect(back.markings.moves).toEqual([]);
          const key = (s: { onset: number; setting: number }) => `${s.onset} ${s.setting}`;
          expect(back.markings.settings.map(key).sort()).toEqual(places.map(key).sort());
          expect(sorted(back)).toEqual(sorted(read(xml)));
          expect(back.passage.tempo).toEqual(passage.tempo);
          expect(back.passage.damps).toEqual(passage.damps);
        },
      ),
      { numRuns: 20, seed: 7 },
    );
  });

  it('names an edit whose place is not there', () => {
    const [planned] = fc.sample(plannedPassages, { numRuns: 1, seed: 3 });
    const xml = writeMusicXml(planned as NonNullable<typeof planned>);
    const out = patchMusicXmlText(xml, [{ kind: 'remove', notes: [{ part: 'P1', measure: 0, note: 9999 }] }]);
    expect(out).toMatchObject({ ok: false, problems: [{ code: 'edit-place' }] });
  });
});

describe.skipIf(!hasData)(`changing published parts${needsData}`, () => {
  const files = hasData ? dataFiles('harp-parts').map((f) => ['harp-parts', f] as const) : [];

  it('removes every seventh note of each and leaves the others', () => {
    let removed = 0;
    for (const [folder, file] of files) {
      const bytes = dataBytes(folder, file);
      const before = readPart(file, bytes);
      if (!before.ok) throw new Error(file);
      const { passage, sources } = before.value;
      const notPlayedTwice = passage.plucks.filter(
        (p) => p.onset > 3360 && !/\.p\d/.test(p.id) && sources.get(p.id)?.length === 1,
      );
      const gone = notPlayedTwice.filter((_, i) => i % 7 === 0);
      const place = (p: Pluck) => JSON.stringify(sources.get(p.id));
      const places = new Set(gone.map(place));
      const goneToo = new Set(passage.plucks.filter((p) => places.has(place(p))).map((p) => p.id));
      const out = patchMusicXml(
        bytes,
        gone.map((p) => ({ kind: 'remove', notes: sources.get(p.id) ?? [] })),
      );
      if (!out.ok) throw new Error(JSON.stringify(out.problems));
      const after = readPart(file, out.value);
      if (!after.ok) throw new Error(JSON.stringify(after.problems));
      const view = (p: Pluck) => [p.onset, p.duration, pitchName(p.pitch), p.hand].join(' ');
      expect(after.value.passage.plucks.map(view).sort(), file).toEqual(
        passage.plucks
          .filter((p) => !goneToo.has(p.id))
          .map(view)
          .sort(),
      );
      expect(after.value.passage.bars).toEqual(passage.bars);
      removed += goneToo.size;
    }
    expect(files).toHaveLength(22);
    expect(removed).toBeGreaterThan(500);
  });
});
