/** A number as people type it: with a decimal point or a decimal comma, and no sign that can be meant in two ways. */

import { Refused } from "../engine/engine";

// As `decimal` and `two_readings` of posekit/text.py, by which Python reads what is typed in tables and files.
const NUMBER = /^[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?$/;
const TWO_READINGS = /^([+-]?)([1-9][0-9]{0,2}),([0-9]{3})$/;
const BARE_COMMA = /^([+-]?[0-9]+),([0-9]+)$/;
const DIGITS = 32; // of one number, as in posekit/budgets.py
const MOST_LETTERS = 40; // of what was typed that are told

export interface Read {
  /** Null where nothing was typed, or nothing that is a number. */
  readonly number: number | null;
  /** Why it cannot be taken, as a sentence; null where it can. */
  readonly wrong: string | null;
  /** It can be read in two ways. */
  readonly either: boolean;
}

export function read(typed: string): Read {
  const text = typed.trim().replaceAll("−", "-");
  if (text === "") return { number: null, wrong: null, either: false };
  const told = text.length > MOST_LETTERS ? `${[...text].slice(0, MOST_LETTERS).join("")}…` : text;
  const [, sign, whole, rest] = TWO_READINGS.exec(text) ?? [];
  if (whole !== undefined) return { number: null, wrong: `“${told}” can be read in two ways; write ${sign}${whole}${rest} or ${sign}${whole}.${rest}.`, either: true };
  if (!NUMBER.test(text)) return { number: null, wrong: `“${told}” is not a number; write one such as 12.5.`, either: false };
  if (text.length > DIGITS) return { number: null, wrong: `“${told}” is longer than any number here; write one such as 12.5.`, either: false };
  const number = Number(text.replace(",", "."));
  if (!Number.isFinite(number)) return { number: null, wrong: `“${told}” is larger than any number here; write one such as 12.5.`, either: false };
  return { number, wrong: null, either: false };
}

/**
 * Hears of a number, or of null where the field was emptied; of nothing else that is typed. Of a text that is no number
 * hears what stood `before` it, where its first letters were one: of `1,500` those are 1.5.
 */
export function taken(hear: (number: number | null) => void): (text: string, before?: string) => void {
  return heard(hear, false);
}

/** The same where a number has to stand: an emptied field gives back what stood before it, too. */
export function takenAlways(hear: (number: number) => void): (text: string, before?: string) => void {
  return heard((number) => number !== null && hear(number), true);
}

function heard(hear: (number: number | null) => void, always: boolean): (text: string, before?: string) => void {
  return (text, before) => {
    const { number, wrong } = read(text);
    if (wrong === null && !(always && number === null)) hear(number);
    else if (before !== undefined) hear(read(before).number);
  };
}

export interface ReadList {
  readonly numbers: readonly number[];
  /** It can be read in two ways. */
  readonly either: boolean;
  /** Why the list cannot be taken, as a sentence; null where it can. */
  readonly wrong: string | null;
}

/** The numbers of a list, as `numbers` of posekit/text.py reads them; `several` where one number would be too few. */
export function readList(typed: string, several = false): ReadList {
  const text = typed.trim().replaceAll("−", "-").replace(/,+$/, "");
  const refused = (wrong: string, either: boolean): ReadList => ({ numbers: [], either, wrong });
  let words = text.split(",");
  if (/[;\t\r\n]/.test(text)) words = text.replace(/;+$/, "").split(/[;\t\r\n]+/).map((word) => word.trim());
  else if (/\s/.test(text)) {
    words = text.split(/\s*,\s+|\s+,\s*|\s+/);
    const mixed = words.find((word) => word.includes(","));
    if (mixed !== undefined) return refused(`“${mixed}” ${ofCommas(mixed)}.`, true);
  } else if (!several && BARE_COMMA.test(text)) return refused(`“${text}” ${ofCommas(text)}.`, true);
  const numbers: number[] = [];
  for (const word of words) {
    const { number, wrong, either } = read(word);
    if (number === null) return refused(wrong ?? "A number is missing between two commas or semicolons.", either);
    numbers.push(number);
  }
  return { numbers, either: false, wrong: null };
}

/** What is wrong with `12,5` among numbers, and what to write. */
function ofCommas(word: string): string {
  const [, whole, rest] = BARE_COMMA.exec(word) ?? [];
  if (whole !== undefined) return `can be read in two ways; write ${whole}.${rest} or ${whole}, ${rest}`;
  return "has commas that can be read in two ways; put a semicolon between numbers";
}

/** Asks every field of a number in a form, whatever its state holds: what stands there is what counts. Throws Refused. */
export function askAll(form: HTMLElement): void {
  for (const field of form.querySelectorAll<HTMLInputElement>("[role=spinbutton]")) {
    needed(field.value, field.ariaLabel ?? field.labels?.[0]?.textContent ?? "");
  }
}

/** The number that has to stand in a field. Throws Refused, which says what is wrong in it. */
export function needed(text: string, field: string): number {
  const { number, wrong } = read(text);
  if (number !== null) return number;
  throw refused(field, wrong ?? "nothing stands there; write a number such as 12.5.");
}

/** The whole number that has to stand in a field. Throws Refused likewise. */
export function neededWhole(text: string, field: string): number {
  if (text.trim() === "") throw refused(field, "nothing stands there; write a whole number such as 1.");
  const number = needed(text, field);
  if (!Number.isInteger(number)) throw refused(field, `“${text.trim()}” is not a whole number; write one such as 1.`);
  return number;
}

function refused(subject: string, wrong: string): Refused {
  const message = `${subject}: ${wrong}`;
  const said = { level: "error", code: "wrong-value", subject, message, text: message, alone: message } as const;
  return new Refused([{ ...said, place: "", kind: "", drive: null, file: null, line: null }]);
}
