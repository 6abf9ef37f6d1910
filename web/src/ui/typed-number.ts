/** A number as people type it: with a decimal point or a decimal comma, and no sign that can be meant in two ways. */

import { Refused } from "../engine/engine";

// As `decimal` and `two_readings` of posekit/text.py, by which Python reads what is typed in tables and files.
const NUMBER = /^[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?$/;
const TWO_READINGS = /^([+-]?)([1-9][0-9]{0,2}),([0-9]{3})$/;
const DIGITS = 32; // of one number, as in posekit/budgets.py
const MOST_LETTERS = 40; // of what was typed that are told

export interface Read {
  /** Null where nothing was typed, or nothing that is a number. */
  readonly number: number | null;
  /** Why it cannot be taken, as a sentence; null where it can. */
  readonly wrong: string | null;
}

export function read(typed: string): Read {
  const text = typed.trim().replaceAll("−", "-");
  if (text === "") return { number: null, wrong: null };
  const told = text.length > MOST_LETTERS ? `${[...text].slice(0, MOST_LETTERS).join("")}…` : text;
  const [, sign, whole, rest] = TWO_READINGS.exec(text) ?? [];
  if (whole !== undefined) return { number: null, wrong: `“${told}” can be read in two ways; write ${sign}${whole}${rest} or ${sign}${whole}.${rest}.` };
  if (!NUMBER.test(text)) return { number: null, wrong: `“${told}” is not a number; write one such as 12.5.` };
  if (text.length > DIGITS) return { number: null, wrong: `“${told}” is longer than any number here; write one such as 12.5.` };
  const number = Number(text.replace(",", "."));
  if (!Number.isFinite(number)) return { number: null, wrong: `“${told}” is larger than any number here; write one such as 12.5.` };
  return { number, wrong: null };
}

/**
 * Hears of a number, or of null where the field was emptied; of nothing else that is typed. Of a text that is no number
 * hears what stood `before` it, where its first letters were one: of `1,500` those are 1.5.
 */
export function taken(hear: (number: number | null) => void): (text: string, before?: string) => void {
  return (text, before) => {
    const { number, wrong } = read(text);
    if (wrong === null) hear(number);
    else if (before !== undefined) hear(read(before).number);
  };
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
