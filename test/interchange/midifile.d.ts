// The second MIDI library ships no types.
declare module 'midifile' {
  const MIDIFile: new (
    bytes: ArrayBuffer,
    strict?: boolean,
  ) => {
    header: { getTracksCount(): number; getFormat(): number; getTicksPerBeat(): number };
    getTrackEvents(track: number): unknown[];
  };
  export default MIDIFile;
}
