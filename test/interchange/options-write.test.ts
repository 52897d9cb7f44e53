// Each option of the writer: valid, full bars, the same notes in another reader, and the marks that it stands for.
import fc from 'fast-check';
import { XmlDocument, type XmlElement } from 'libxml2-wasm';
import createVerovioModule from 'verovio/wasm';
import { VerovioToolkit } from 'verovio/esm';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Move, PlannedPassage } from '../../src/harp/planned';
import { type MusicXmlOptions, writeMusicXml } from '../../src/interchange/musicxml-write';
import { ticks } from '../../src/base/units';
import type { Pluck } from '../../src/music/passage';
import { midiOf } from '../../src/music/pitch';
import { heard, unknownRemarks } from './known-gaps';
import { Q, emptyPassage, onConcertHarp, plannedPassages } from './passages';
import { pitchNamed, richPassage } from './rich-passage';
import { hasSchema, schemaErrors } from './schema';
import { walk } from './walk';
import { OPTIONS } from './writer-options';

const inside = (xml: string, path: string): XmlElement[] => {
  const doc = XmlDocument.fromString(xml);
  return doc.root.find(path) as XmlElement[];
};
const texts = (xml: string, path: string): string[] => inside(xml, path).map((e) => e.content);

describe.skipIf(!hasSchema)(`W3C MusicXML 4.0${hasSchema ? '' : ' (skipped: no shared data)'}`, () => {
  it('accepts what a part can hold under every option', () => {
    for (const options of OPTIONS) expect(schemaErrors(writeMusicXml(richPassage(), options))).toBeNull();
  });
});

describe('bars', () => {
  it('are full in every voice under every option', () => {
    let voices = 0;
    const full = (planned: PlannedPassage, options: MusicXmlOptions) => {
      const { bars } = walk(writeMusicXml(planned, options));
      bars.forEach((bar, i) => {
        for (const filled of bar.voices.values()) expect(filled).toBe(planned.passage.bars[i]?.length);
        expect(bar.backups).toBe(bar.voices.size - 1);
        voices += bar.voices.size;
      });
    };
    for (const options of OPTIONS) full(richPassage(), options);
    fc.assert(fc.property(plannedPassages, fc.constantFrom(...OPTIONS), full), { numRuns: 40, seed: 21 });
    expect(voices).toBeGreaterThan(400);
  });
});

describe('verovio', () => {
  interface Toolkit {
    setOptions(options: object): void;
    resetXmlIdSeed(seed: number): void;
    loadData(data: string): boolean;
    renderToTimemap(options: object): { on?: string[]; qstamp: number }[];
    getMIDIValuesForElement(id: string): { pitch: number };
    renderToSVG(page: number): string;
  }
  let toolkit: Toolkit;
  let console: ReturnType<typeof heard>;
  beforeAll(async () => {
    console = heard();
    toolkit = new VerovioToolkit(await createVerovioModule()) as unknown as Toolkit;
    toolkit.setOptions({ inputFrom: 'musicxml', breaks: 'none' });
    return console.stop;
  });

  it('reads the same notes and onsets, 8va, slides and beams over both staves included, and says nothing new', () => {
    let notes = 0;
    const { passage } = richPassage();
    const rolled = new Set(passage.rolls.flatMap((roll) => roll.plucks));
    for (const options of OPTIONS) {
      toolkit.resetXmlIdSeed(1);
      expect(Boolean(toolkit.loadData(writeMusicXml(richPassage(), options)))).toBe(true);
      const onsets = new Map<string, number>();
      for (const { on, qstamp } of toolkit.renderToTimemap({})) {
        for (const id of on ?? []) if (!onsets.has(id)) onsets.set(id, qstamp);
      }
      for (const pluck of passage.plucks) {
        // A roll is played note by note, up to half a beat late.
        const late = (onsets.get(pluck.id) ?? NaN) - pluck.onset / Q;
        expect(late > -1e-3 && late < (rolled.has(pluck.id) ? 0.5 : 1e-3), `${pluck.id} ${late}`).toBe(true);
        expect(toolkit.getMIDIValuesForElement(pluck.id).pitch, pluck.id).toBe(midiOf(pluck.pitch));
        notes++;
      }
      toolkit.renderToSVG(1);
    }
    expect(notes).toBe(OPTIONS.length * passage.plucks.length);
    expect(console.said().length).toBeGreaterThan(0);
    expect(unknownRemarks(console.said())).toEqual([]);
  });
});

describe('marks', () => {
  const words = (options: MusicXmlOptions): string[] =>
    texts(writeMusicXml(richPassage(), options), '//words');
  const diagrams = (options: MusicXmlOptions): number =>
    inside(writeMusicXml(richPassage(), options), '//harp-pedals').length;

  it('of pedals come in five ways', () => {
    const changes = (options: MusicXmlOptions) => words(options).filter((w) => /^[A-G][♭♮♯]$/u.test(w));
    // At the start, at two rehearsal marks of which the second ends the long rest, and before the sweeps.
    expect(diagrams({ pedals: 'none' })).toBe(0);
    expect(diagrams({ pedals: 'settings' })).toBe(4);
    expect(changes({ pedals: 'settings' })).toEqual([]);
    expect(diagrams({ pedals: 'diagrams' })).toBe(7);
    expect(diagrams({})).toBe(4);
    expect(changes({})).toEqual(['B♭', 'E♭', 'A♯', 'B♮']);
    expect(changes({ pedals: 'two-lines' })).toEqual(changes({}));
    expect(diagrams({ asWords: true })).toBe(0);
    expect(words({ asWords: true })).toContain('E♮ F♮ G♮ A♮\nD♮ C♮ B♮');
  });

  it('of two lines keep the right foot over the left, and go between the staves on request', () => {
    const xml = writeMusicXml(richPassage(), { pedals: 'two-lines' });
    const lines = inside(xml, '//words[@default-y]').map((e) => [e.content, e.attr('default-y')?.value]);
    expect(lines).toEqual([
      ['B♭', '-115'],
      ['E♭', '-90'],
      ['A♯', '-90'],
      ['B♮', '-115'],
    ]);
    const between = writeMusicXml(richPassage(), { pedalsBetween: true });
    expect(
      inside(between, "//direction[direction-type/words='E♭'][staff='1'][@placement='below']"),
    ).toHaveLength(1);
  });

  it('before a page turn show the setting of what follows', () => {
    const xml = writeMusicXml(richPassage(), { pageBreaks: [8] });
    expect(inside(xml, "//measure[@number='9']/print[@new-page='yes']")).toHaveLength(1);
    const before = texts(xml, "//measure[@number='8']//pedal-alter");
    expect(before.slice(-7)).toEqual(['0', '0', '-1', '0', '0', '0', '0']);
  });

  it('gather rests, save where something is marked', () => {
    const xml = writeMusicXml(richPassage(), { multiRests: true });
    expect(texts(xml, '//multiple-rest')).toEqual(['3']);
    expect(inside(xml, "//measure[@number='6']//multiple-rest")).toHaveLength(1);
    expect(inside(writeMusicXml(richPassage()), '//multiple-rest')).toEqual([]);
  });

  it('leave a gathered rest whole where a pedal moves in it: the setting at its end tells', () => {
    const rich = richPassage();
    const { moves } = rich;
    const inRest: Move = {
      ...(moves[0] as Move),
      onset: ticks(6 * 4 * Q),
      letter: 'G',
      from: 0,
      to: 1,
      foot: 'right',
    };
    const planned = { ...rich, moves: [...moves.slice(0, 1), inRest, ...moves.slice(1)] };
    const xml = writeMusicXml(planned, { multiRests: true });
    expect(texts(xml, '//multiple-rest')).toEqual(['3']);
    expect(texts(xml, '//words')).not.toContain('G♯');
    expect(texts(xml, "//measure[@number='9']//pedal-tuning[pedal-step='G']/pedal-alter")).toEqual(['1']);
    expect(texts(writeMusicXml(planned), '//words')).toContain('G♯');
  });

  it('of hairpins, rehearsals, keys, clefs, 8va, slides, composer and words are in the standard’s elements', () => {
    const xml = writeMusicXml(richPassage());
    const attrs = (path: string, name: string) => inside(xml, path).map((e) => e.attr(name)?.value);
    expect(attrs('//wedge', 'type')).toEqual(['crescendo', 'stop', 'diminuendo', 'stop']);
    expect(texts(xml, '//rehearsal')).toEqual(['A', 'B']);
    expect(texts(xml, '//key/fifths')).toEqual(['0', '-3']);
    expect(texts(xml, "//measure[@number='3']/attributes/clef[@number='2']/sign")).toEqual(['G']);
    expect(texts(xml, "//measure[@number='4']/attributes/clef[@number='2']/sign")).toEqual(['F']);
    expect(attrs('//octave-shift', 'type')).toEqual(['down', 'stop']);
    expect(attrs('//slide', 'type')).toEqual(['start', 'stop']);
    expect(texts(xml, "//note[notations/slide[@type='stop']]/pitch/*")).toEqual(['B', '-1', '4']);
    expect(texts(xml, "//creator[@type='composer']")).toEqual(['A. Nonesuch']);
    expect(texts(xml, '//words')).toContain('dolce');
    expect(attrs('//non-arpeggiate', 'type').sort()).toEqual(['bottom', 'bottom', 'top', 'top']);
    expect(new Set(attrs("//measure[@number='9']//arpeggiate", 'number'))).toEqual(new Set(['1']));
    expect(texts(xml, '//midi-program')).toEqual(['47']);
    expect(attrs('//sound', 'tempo')).toEqual(['72']);
  });

  it('warn of a homophone: B♭ under three flats gets a courtesy after A♯, and not before it', () => {
    const { passage, ...plan } = richPassage();
    const [flat, sharp] = passage.plucks.filter((p) => p.technique === 'etouffe');
    const signs = (given: PlannedPassage, options: MusicXmlOptions = {}) =>
      inside(writeMusicXml(given, options), "//measure[@number='9']//note[pitch/step='B']/accidental").map(
        (e) => [e.content, e.attr('cautionary')?.value],
      );
    const plucks = passage.plucks.map((p) =>
      p === flat
        ? { ...p, pitch: sharp?.pitch ?? p.pitch }
        : p === sharp
          ? { ...p, pitch: flat?.pitch ?? p.pitch }
          : p,
    );
    const swapped = { ...plan, passage: { ...passage, plucks } };
    expect(signs(swapped)).toEqual([['flat', 'yes']]);
    expect(signs(swapped, { courtesies: false })).toEqual([]);
    expect(signs(richPassage())).toEqual([]);
  });

  it('of the harp’s own key leave fewer accidentals', () => {
    const { passage, ...plan } = richPassage();
    const flat: PlannedPassage = {
      ...plan,
      passage: {
        ...passage,
        ...{ keys: [], fifths: 5, rolls: [], sweeps: [], slides: [] },
        plucks: passage.plucks.map((p) => ({ ...p, pitch: { ...p.pitch, alter: -1 as const } })),
      },
    };
    const count = (options: MusicXmlOptions) => inside(writeMusicXml(flat, options), '//accidental').length;
    expect(texts(writeMusicXml(flat, { key: 'harp' }), '//key/fifths')).toEqual(['-6']);
    expect(count({ key: 'harp' })).toBe(0);
    expect(count({})).toBeGreaterThan(20);
  });

  it('of a beam over both staves: one voice, both staves, secondary beams broken where the hand changes', () => {
    const xml = writeMusicXml(richPassage(), { acrossBeams: true, handWords: true });
    const bar = "//measure[@number='1']/note";
    expect(new Set(texts(xml, `${bar}[beam]/voice`))).toEqual(new Set(['1']));
    expect(texts(xml, `${bar}[beam]/staff`).slice(0, 8)).toEqual(['2', '2', '2', '2', '1', '1', '1', '1']);
    expect(texts(xml, `${bar}/beam[@number='1']`).slice(0, 8)).toEqual([
      'begin',
      ...Array(6).fill('continue'),
      'end',
    ]);
    expect(texts(xml, `${bar}/beam[@number='2']`).slice(3, 5)).toEqual(['end', 'begin']);
    expect(new Set(texts(writeMusicXml(richPassage()), `${bar}/voice`))).toEqual(new Set(['1', '5']));
    expect(texts(xml, '//words')).toEqual(expect.arrayContaining(['m.d.', 'm.g.']));
  });

  it('of a glissando’s first octave: seven notes, then the line from the eighth', () => {
    const xml = writeMusicXml(richPassage(), { glissandoStart: true });
    const bar = "//measure[@number='11']/note";
    expect(inside(xml, `${bar}[time-modification/actual-notes='7']`)).toHaveLength(14);
    const from = inside(xml, `${bar}[notations/glissando[@type='start']]/pitch/octave`).map((e) => e.content);
    expect(from).toEqual(['4', '5']);
  });
});

describe('staves', () => {
  const chord = (names: string, hand: 'R' | 'L', eighth: number): Pluck[] =>
    names.split(' ').map((name) => ({
      ...{ id: `${hand}${eighth}${name}`, onset: ticks((eighth * Q) / 2), duration: ticks(Q / 2) },
      ...{ pitch: pitchNamed(name), hand, finger: null, technique: 'ordinary', dynamic: 'mf' },
    }));
  const score = (left: readonly string[], right: readonly string[]): string => {
    const planned = onConcertHarp(emptyPassage({ beats: 4, unit: 4 }, 2));
    const plucks = [
      ...left.flatMap((names, i) => (names === '' ? [] : chord(names, 'L', i))),
      ...right.flatMap((names, i) => (names === '' ? [] : chord(names, 'R', i))),
    ].sort((a, b) => a.onset - b.onset);
    return writeMusicXml({ ...planned, passage: { ...planned.passage, plucks } });
  };
  const eight = (names: string): string[] => Array(8).fill(names) as string[];
  const stavesOf = (xml: string, voice: number): Set<string> =>
    new Set(texts(xml, `//measure[@number='1']/note[pitch][voice='${voice}']/staff`));

  it('keep the hands apart where both strike chords: the clef changes, and the hand stays', () => {
    const xml = score(eight('F3 C4 A4 C5'), eight('E5 G5 C6'));
    expect(stavesOf(xml, 5)).toEqual(new Set(['2']));
    expect(texts(xml, "//measure[@number='1']/attributes/clef[@number='2']/sign")).toEqual(['G']);
  });

  it('let a hand take the other’s, where that hand is silent', () => {
    const xml = score(eight('G4 C5 E5'), []);
    expect(stavesOf(xml, 5)).toEqual(new Set(['1']));
    expect(texts(xml, "//measure[@number='1']/attributes/clef[@number='2']/sign")).toEqual(['F']);
  });

  it('change no clef for one chord that lies high', () => {
    const xml = score(['C3 G3 C4', 'G4 C5', ...(Array(6).fill('C3 G3 C4') as string[])], eight('E5 G5 C6'));
    expect(texts(xml, "//clef[@number='2']/sign")).toEqual(['F']);
  });
});
