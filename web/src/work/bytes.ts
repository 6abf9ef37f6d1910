/** Whether files hold the same bytes, and which they are. */

import type { Files } from "./history";

/** Whether two files hold the same bytes. */
export function same(one: Uint8Array | undefined, other: Uint8Array | undefined): boolean {
  if (one === other && one) return true;
  if (!one || !other || one.length !== other.length) return false;
  return one.every((byte, index) => byte === other[index]);
}

/** Whether two folders hold the same files. */
export function sameFiles(one: Readonly<Record<string, Uint8Array>>, other: Readonly<Record<string, Uint8Array>>): boolean {
  const paths = Object.keys(one);
  return paths.length === Object.keys(other).length && paths.every((path) => same(one[path], other[path]));
}

/** The paths of files that only one of two folders has, or that differ. */
export function differing(one: Readonly<Record<string, Uint8Array>>, other: Readonly<Record<string, Uint8Array>>): readonly string[] {
  return [...new Set([...Object.keys(one), ...Object.keys(other)])].filter((path) => !same(one[path], other[path])).sort();
}

/** These files, with those that hold the same bytes as before being the very ones of before; all of it, if all are. */
export function reused(files: Files, before: Files): Files {
  const paths = Object.keys(files);
  const kept = Object.fromEntries(paths.map((path) => [path, same(before[path], files[path]) ? (before[path] as Files[string]) : (files[path] as Files[string])]));
  return paths.length === Object.keys(before).length && paths.every((path) => kept[path] === before[path]) ? before : kept;
}

/** The text of prop.toml where it is all that differs; null where other files differ, too. */
export function textIfAllElse(files: Files, others: Files): string | null {
  const paths = Object.keys(files);
  const many = paths.length === Object.keys(others).length;
  if (!many || paths.some((path) => path !== "prop.toml" && files[path] !== others[path])) return null;
  return new TextDecoder().decode(files["prop.toml"]);
}
