/** What a dropped or chosen file is, told by its name and first bytes. */

import { strToU8, unzipSync, zipSync } from "fflate";
import { KINDS } from "../engine/protocol";
import type { Files } from "./history";

export type Opened =
  | { readonly kind: "folder"; readonly name: string; readonly files: Files }
  | { readonly kind: "glb"; readonly name: string; readonly glb: Uint8Array<ArrayBuffer> }
  | { readonly kind: "show"; readonly name: string; readonly data: Uint8Array<ArrayBuffer> }
  | { readonly kind: "snapshot"; readonly name: string; readonly data: Uint8Array<ArrayBuffer> };

export const ACCEPTED = [...new Set([...KINDS.PROPS, ...KINDS.SNAPSHOTS, ...KINDS.SHOWS])].join(",");

/** Read a file from the builder's disk. An error says what would be right. */
export async function read(file: File): Promise<Opened> {
  const data = new Uint8Array(await file.arrayBuffer());
  const name = file.name.replace(/\.[^.]*$/, "");
  const ending = file.name.slice(name.length).toLowerCase();
  if (isShow(ending, data)) return { kind: "show", name: file.name, data };
  if (ending === ".toml") return { kind: "folder", name, files: { "prop.toml": data } };
  if (ending === ".zip" || starts(data, "PK")) return { kind: "folder", ...unpack(data, name) };
  if (ending === ".glb" || starts(data, "glTF")) return { kind: "glb", name, glb: data };
  if (isOf(KINDS.SNAPSHOTS, ending)) return { kind: "snapshot", name: file.name, data };
  throw new Error(`This is not a kind of file posekit reads. Drop a prop.toml, a zip of a prop folder, a GLB that posekit wrote, a snapshot (CSV, JSON, 512 bytes) or a show (cues as TOML, a recorded stream as CSV, a capture).`);
}

function isOf(kind: readonly string[], ending: string): boolean {
  return kind.includes(ending);
}

/** Whether a file is a show: a capture, a stream, whose first column is the time, or a list of cues. */
function isShow(ending: string, data: Uint8Array): boolean {
  if (isOf(KINDS.CAPTURES, ending)) return true;
  const text = (): string => new TextDecoder().decode(data.subarray(0, 100_000));
  if (ending === ".csv") return /^\ufeff?(\s*(#.*)?\n)*\s*time\b/i.test(text());
  return ending === ".toml" && /^\s*\[\[\s*cues\s*\]\]/m.test(text());
}

/** A prop folder from a zip: the folder that holds prop.toml, wherever it lies in the archive. */
export function unpack(zip: Uint8Array, fallback: string): { name: string; files: Files } {
  let entries: Record<string, Uint8Array>;
  try {
    entries = unzipSync(zip);
  } catch {
    throw new Error(`The zip is damaged or cut short; zip the prop folder again.`);
  }
  const place = Object.keys(entries)
    .filter((path) => /(^|\/)prop\.toml$/.test(path))
    .sort((a, b) => a.length - b.length)[0];
  if (place === undefined) throw new Error(`The zip holds no prop.toml; zip the prop folder itself.`);
  const root = place.slice(0, -"prop.toml".length);
  const inside = Object.entries(entries).filter(([path]) => path.startsWith(root) && !path.endsWith("/"));
  const files = Object.fromEntries(inside.map(([path, data]) => [path.slice(root.length), data.slice()]));
  return { name: root.split("/").at(-2) ?? fallback, files };
}

/** A zip of a prop folder. */
export function pack(name: string, files: Files): Uint8Array<ArrayBuffer> {
  return zipSync(Object.fromEntries(Object.entries(files).map(([path, data]) => [`${name}/${path}`, data]))).slice();
}

function starts(data: Uint8Array, magic: string): boolean {
  return strToU8(magic).every((byte, index) => data[index] === byte);
}
