/** One sentence for each rule that was used. */

type Detail = Readonly<Record<string, string | number>>;

export const SENTENCES: Readonly<Record<string, (d: Detail) => string>> = {};
