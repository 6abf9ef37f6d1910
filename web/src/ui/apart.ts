/** Names of others within a sentence of ours, where no element can keep their direction to themselves. */

// Letters written from right to left, and marks that turn what follows round.
const TURNS = /[\u0590-\u08ff\u200e\u200f\u202a-\u202e\u2066-\u2069\ufb1d-\ufdff\ufe70-\ufefc\u{10800}-\u{10fff}\u{1e800}-\u{1efff}]/u;
const ENDS = /[\u2066-\u2069]/gu; // of isolates: one within would end ours

/** The name in an isolate (Unicode Standard Annex 9, FSI to PDI), if it would turn the letters beside it round. */
export function apart(name: string): string {
  return TURNS.test(name) ? `\u2068${name.replace(ENDS, "")}\u2069` : name;
}
