/** The music font for words inside a score, handed to the browser once. */

let loaded = false;

/** Takes a base64 WOFF2. No request leaves the page, so a strict policy on fonts stands. */
export function useMusicFont(base64: string): void {
  if (loaded) return;
  loaded = true;
  const bytes = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
  const face = new FontFace('Leipzig', bytes);
  face.load().then(
    (ready) => document.fonts.add(ready),
    () => {
      loaded = false;
    },
  );
}
