/** A MusicXML text as the bytes of an `.mxl` file. */

export { mxl as writeMxl } from './musicxml/patch/container';
