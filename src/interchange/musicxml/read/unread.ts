/** Gathers what a file says and a passage cannot hold. */

import type { Unread } from './types';

export class UnreadList {
  private readonly found = new Map<string, { what: string; text: string; bar: string; count: number }>();

  add(what: string, bar: string, text = ''): void {
    const key = `${what} ${text}`;
    const known = this.found.get(key);
    if (known === undefined) this.found.set(key, { what, text, bar, count: 1 });
    else known.count++;
  }

  list(): Unread[] {
    return [...this.found.values()];
  }
}
