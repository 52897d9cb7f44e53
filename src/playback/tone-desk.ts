/** The desk on Tone: its context, its clock, a volume, a limiter and an analyser. The only file that knows Tone. */

import { roomImpulse } from '../sound/room';
import type { Desk, Run, Voice } from './desk';

/** Seconds by which Tone's clock runs ahead: 0.1 is late on a busy page, 0.3 is not (measured). */
const LOOK_AHEAD = 0.3;
const TICK = 0.05;
/** Samples that the meter looks back on: a sixth of a second at 48 kHz. */
const METER = 8192;
/** A sound that is taken up in its middle comes in this fast, in seconds. */
const FADE_IN = 0.03;
/** Places in the stereo picture that share a panner. */
const PANS = 16;

/** Straight up to 0.7, then ever flatter: nothing leaves above 0.84 (−1.5 dBFS). */
function ceilingCurve(): Float32Array<ArrayBuffer> {
  const half = 2048;
  return Float32Array.from({ length: 2 * half + 1 }, (_, i) => {
    const x = (i - half) / half;
    const over = Math.abs(x) - 0.7;
    return over <= 0 ? x : Math.sign(x) * (0.7 + over / (1 + 4 * over));
  });
}

/** Opens the desk. Rejects where the machine has no audio. The context starts suspended: see `resume`. */
export async function createToneDesk(): Promise<Desk<AudioBuffer>> {
  const Tone = await import('tone');
  if (!Tone.supported) throw new Error('no audio system');
  const context = Tone.getContext();
  context.lookAhead = LOOK_AHEAD;
  if (context instanceof Tone.Context) context.updateInterval = TICK;
  const volume = new Tone.Volume(-18);
  const limiter = new Tone.Limiter(-2);
  // Not Tone's analyser: that one answers with the older half of its window.
  const meter = context.createAnalyser();
  meter.fftSize = METER;
  const wave = new Float32Array(METER);
  // The browser's compressor lets peaks by, and makes up for what it takes away: a soft ceiling has the last word.
  const ceiling = context.createWaveShaper();
  ceiling.curve = ceilingCurve();
  volume.chain(limiter, ceiling, Tone.getDestination());
  // The room stands beside the straight way; its answer to one sample does the work.
  const toRoom = context.createGain();
  toRoom.gain.value = 0;
  let convolver: ConvolverNode | null = null;
  const buildRoom = (): ConvolverNode => {
    const impulse = roomImpulse(context.sampleRate);
    const buffer = context.createBuffer(2, impulse.left.length, context.sampleRate);
    buffer.copyToChannel(impulse.left as Float32Array<ArrayBuffer>, 0);
    buffer.copyToChannel(impulse.right as Float32Array<ArrayBuffer>, 1);
    const made = context.createConvolver();
    made.normalize = false;
    made.buffer = buffer;
    toRoom.connect(made);
    Tone.connect(made, volume);
    return made;
  };
  Tone.connect(ceiling, meter);

  let wanted = false;
  // Tone resumes 'suspended' only; phones also know 'interrupted'.
  const resumeAny = async (): Promise<void> => {
    const raw = context.rawContext as unknown as AudioContext;
    if (raw.state !== 'running') await raw.resume();
  };
  const wake = (): void => {
    // A phone call, another tab or the system may have interrupted us: take up again when we can.
    if (wanted) void resumeAny().catch(() => undefined);
  };
  const onState = (): void => wake();
  context.on('statechange', onState);
  // Some phones give the sound back only at a touch.
  const wakers = ['visibilitychange', 'pointerdown', 'keydown'] as const;
  if (typeof document !== 'undefined') for (const name of wakers) document.addEventListener(name, wake);

  const open = (): Run<AudioBuffer> => {
    const bus = context.createGain();
    Tone.connect(bus, volume);
    bus.connect(toRoom);
    const panners = new Map<number, StereoPannerNode>();
    const pannerAt = (pan: number): StereoPannerNode => {
      const place = Math.round(pan * PANS) / PANS;
      let panner = panners.get(place);
      if (panner === undefined) {
        panner = context.createStereoPanner() as StereoPannerNode;
        panner.pan.value = place;
        panner.connect(bus);
        panners.set(place, panner);
      }
      return panner;
    };
    return {
      start: (buffer, at, gain, pan, offset = 0): Voice => {
        const source = context.createBufferSource();
        const fader = context.createGain();
        source.buffer = buffer;
        if (offset > 0) {
          fader.gain.setValueAtTime(0, at);
          fader.gain.linearRampToValueAtTime(gain, at + FADE_IN);
        } else fader.gain.setValueAtTime(gain, at);
        source.connect(fader);
        fader.connect(pannerAt(pan));
        source.onended = () => {
          source.disconnect();
          fader.disconnect();
        };
        source.start(at, offset);
        let stopped = false;
        let speed = 1;
        let level = 1;
        return {
          bend: (from, seconds, toSpeed, toLevel) => {
            if (stopped) return;
            source.playbackRate.setValueAtTime(speed, from);
            source.playbackRate.linearRampToValueAtTime(toSpeed, from + seconds);
            fader.gain.setValueAtTime(gain * level, from);
            fader.gain.linearRampToValueAtTime(gain * toLevel, from + seconds);
            speed = toSpeed;
            level = toLevel;
          },
          stop: (from, fade) => {
            if (stopped) return;
            stopped = true;
            fader.gain.setValueAtTime(gain * level, from);
            fader.gain.linearRampToValueAtTime(0, from + fade);
            source.stop(from + fade);
          },
        };
      },
      close: (fade) => {
        wanted = false;
        const now = context.currentTime;
        bus.gain.setValueAtTime(1, now);
        bus.gain.linearRampToValueAtTime(0, now + fade);
        setTimeout(
          () => {
            bus.disconnect();
            for (const panner of panners.values()) panner.disconnect();
          },
          1000 * fade + 200,
        );
      },
    };
  };

  return {
    sampleRate: context.sampleRate,
    time: () => context.currentTime,
    resume: async () => {
      wanted = true;
      await Tone.start();
      await resumeAny();
    },
    buffer: (samples) => {
      const buffer = context.createBuffer(1, samples.length, context.sampleRate);
      buffer.copyToChannel(samples as Float32Array<ArrayBuffer>, 0);
      return buffer;
    },
    bytesOf: (buffer) => 4 * buffer.length * buffer.numberOfChannels,
    open,
    setRoom: (on) => {
      if (on) convolver ??= buildRoom();
      toRoom.gain.setTargetAtTime(on ? 1 : 0, context.currentTime, 0.02);
    },
    setVolume: (db) => {
      volume.volume.rampTo(db, 0.05);
    },
    level: () => {
      meter.getFloatTimeDomainData(wave);
      let peak = 0;
      for (const x of wave) peak = Math.max(peak, Math.abs(x));
      return Math.min(1, peak);
    },
    every: (fn) => {
      context.on('tick', fn);
      return () => {
        context.off('tick', fn);
      };
    },
    dispose: () => {
      wanted = false;
      context.off('statechange', onState);
      if (typeof document !== 'undefined')
        for (const name of wakers) document.removeEventListener(name, wake);
      convolver?.disconnect();
      toRoom.disconnect();
      meter.disconnect();
      ceiling.disconnect();
      limiter.dispose();
      volume.dispose();
    },
  };
}
