/** Where a fact or rule comes from: a work and place, or "common practice". */
export type Source = string;
