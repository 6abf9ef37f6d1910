/** What a dropped or chosen file is, told by its name and first bytes. */

import { strToU8, unzipSync, zipSync } from "fflate";
import { BUDGETS, KINDS } from "../engine/protocol";
import type { Files } from "./history";

export type Opened =
  | { readonly kind: "folder"; readonly name: string; readonly files: Files }
  | { readonly kind: "glb"; readonly name: string; readonly glb: Uint8Array<ArrayBuffer> }
  /** Parts that no prop is made of yet. `left` are files that came with them and are none. */
  | { readonly kind: "parts"; readonly name: string; readonly files: Files; readonly left: readonly string[] }
  | { readonly kind: "show"; readonly name: string; readonly data: Uint8Array<ArrayBuffer> }
  /** What a director noted. */
  | { readonly kind: "notes"; readonly name: string; readonly text: string }
  | { readonly kind: "snapshot"; readonly name: string; readonly data: Uint8Array<ArrayBuffer> };

export const ACCEPTED = [...new Set([...KINDS.PROPS, ...KINDS.SNAPSHOTS, ...KINDS.SHOWS, ...KINDS.MESHES, ...KINDS.ASSEMBLIES])].join(",");
export const ACCEPTED_PARTS = [...KINDS.MESHES, ...KINDS.COLOURS, ...KINDS.ASSEMBLIES, ".zip"].join(",");
/** What a folder of parts may hold besides: a URDF names meshes of kinds that do not come alone, an OBJ its colours. */
const BESIDE = [".dae", ...KINDS.COLOURS];

/** The bytes of a file from the builder's disk. One that is no file, or larger than `what` it is to be may be, is not even read. */
export async function readable(file: File, most: number = BUDGETS.FOLDER_BYTES, what = "a prop with all its files"): Promise<Uint8Array<ArrayBuffer>> {
  if (file.size > most) throw new Error(`It has ${megabytes(file.size)} MB; ${what} has ${megabytes(most)} MB at most.`);
  try {
    return new Uint8Array(await file.arrayBuffer());
  } catch {
    throw new Error("The browser cannot read it. Is it a folder? Zip it, and open the zip.");
  }
}

/** What a file is. An error says what would be right. */
export function recognised(filename: string, data: Uint8Array<ArrayBuffer>): Opened {
  const name = filename.replace(/\.[^.]*$/, "");
  const ending = filename.slice(name.length).toLowerCase();
  const notes = notesIn(ending, data);
  if (notes !== null) return { kind: "notes", name: filename, text: notes };
  if (isShow(ending, data)) return { kind: "show", name: filename, data };
  if (ending === ".toml") return { kind: "folder", name, files: { "prop.toml": data } };
  if (ending === ".zip" || starts(data, "PK")) return ofFolder(unzipped(data), name, "zip");
  if (starts(data, "glTF") && !carriesProp(data)) return { kind: "parts", name, files: { [filename]: data }, left: [] };
  if (ending === ".glb" || starts(data, "glTF")) return { kind: "glb", name, glb: data };
  if (isOf(KINDS.MESHES, ending) || isOf(KINDS.ASSEMBLIES, ending)) return { kind: "parts", name, files: { [filename]: data }, left: [] };
  if (isOf(KINDS.SNAPSHOTS, ending)) return { kind: "snapshot", name: filename, data };
  throw new Error(`This is not a kind of file posekit reads. Open a prop.toml, a zip of a prop folder, a GLB, a snapshot (CSV, JSON, 512 bytes), a show (cues as TOML, a recorded stream as CSV, a capture), a director's notes, or parts to make a prop of (STL, OBJ, PLY, GLB, STEP, URDF).`);
}

function isOf(kind: readonly string[], ending: string): boolean {
  return kind.includes(ending);
}

/** Whether a file is a show: a capture, a stream, whose first column is the time, or a list of cues. */
function isShow(ending: string, data: Uint8Array): boolean {
  if (isOf(KINDS.CAPTURES, ending)) return true;
  if (ending !== ".csv" && ending !== ".toml") return false;
  const lines = new TextDecoder().decode(data.subarray(0, 100_000)).split("\n").map((line) => line.trim());
  if (ending === ".toml") return lines.some((line) => /^\[\[\s*cues\s*\]\]/.test(line));
  return /^time\b/i.test(lines.find((line) => line !== "" && !line.startsWith("#")) ?? "");
}

/** The text of a director's notes, taken out as a file or pasted into a message; null for any other file. */
function notesIn(ending: string, data: Uint8Array<ArrayBuffer>): string | null {
  if (!isOf(["", ...KINDS.NOTES], ending) || data.length > 2 * BUDGETS.NOTES_BYTES) return null;
  if (!new TextDecoder().decode(data).includes('"posekit_notes"')) return null;
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(data);
  } catch {
    throw new Error("It is not UTF-8 text; save it as UTF-8.");
  }
}

/** The files of a zip, by path. */
function unzipped(zip: Uint8Array): Files {
  let [bytes, count] = [0, 0];
  try {
    // What an entry says it unpacks to is all that it gets.
    const entries = unzipSync(zip, {
      filter({ originalSize }) {
        bytes += originalSize;
        count += 1;
        if (bytes > BUDGETS.INFLATED_BYTES || count > BUDGETS.FOLDER_FILES) throw new TooLarge();
        return true;
      },
    });
    const files = Object.entries(entries).filter(([path]) => !path.endsWith("/"));
    return Object.fromEntries(files.map(([path, data]) => [path, data.slice()]));
  } catch (problem) {
    if (problem instanceof TooLarge) throw problem;
    throw new Error(`The zip is damaged or cut short; zip the prop folder again.`);
  }
}

/** A prop folder from a zip: the folder that holds prop.toml, wherever it lies in the archive. */
export function unpack(zip: Uint8Array, fallback: string): { name: string; files: Files } {
  const found = propIn(unzipped(zip), fallback);
  if (!found) throw new Error(`The zip holds no prop.toml; zip the prop folder itself.`);
  return found;
}

/** What files are that came together: the folder of a prop, or parts to make one of. */
export function ofFolder(files: Files, name: string, called: "zip" | "folder" | "files"): Opened {
  const prop = propIn(files, name);
  if (prop) return { kind: "folder", ...prop };
  const isPart = (path: string): boolean => isOf([...KINDS.MESHES, ...KINDS.ASSEMBLIES, ...BESIDE], endingOf(path));
  const [parts, left] = [Object.keys(files).filter(isPart), Object.keys(files).filter((path) => !isPart(path))];
  if (parts.length === 0) {
    const none = "neither a prop.toml nor parts (STL, OBJ, PLY, GLB, STEP, URDF)";
    throw new Error(called === "files" ? `Among them is ${none}. Open snapshots, shows and notes one at a time.` : `The ${called} holds ${none}.`);
  }
  return { kind: "parts", name, files: Object.fromEntries(parts.map((path) => [path, files[path] as Uint8Array<ArrayBuffer>])), left };
}

function propIn(files: Files, fallback: string): { name: string; files: Files } | null {
  const place = Object.keys(files)
    .filter((path) => /(^|\/)prop\.toml$/.test(path))
    .sort((a, b) => a.length - b.length)[0];
  if (place === undefined) return null;
  const root = place.slice(0, -"prop.toml".length);
  const inside = Object.entries(files).filter(([path]) => path.startsWith(root));
  return { name: root.split("/").at(-2) ?? fallback, files: Object.fromEntries(inside.map(([path, data]) => [path.slice(root.length), data])) };
}

export function endingOf(path: string): string {
  return /\.[^./]*$/.exec(path)?.[0].toLowerCase() ?? "";
}

/** Whether a GLB says that posekit put a prop into it. One that cannot be read may; Python says what is wrong with it. */
function carriesProp(glb: Uint8Array<ArrayBuffer>): boolean {
  try {
    const length = new DataView(glb.buffer, glb.byteOffset).getUint32(12, true);
    const described = JSON.parse(new TextDecoder().decode(glb.subarray(20, 20 + length))) as { asset?: { extras?: { posekit?: unknown } } };
    return described.asset?.extras?.posekit !== undefined;
  } catch {
    return true;
  }
}

/** A zip of a prop folder. */
export function pack(name: string, files: Files): Uint8Array<ArrayBuffer> {
  return zipSync(Object.fromEntries(Object.entries(files).map(([path, data]) => [`${name}/${path}`, data]))).slice();
}

function starts(data: Uint8Array, magic: string): boolean {
  return strToU8(magic).every((byte, index) => data[index] === byte);
}

class TooLarge extends Error {
  constructor() {
    super(`The zip unpacks to more than the ${megabytes(BUDGETS.INFLATED_BYTES)} MB or ${BUDGETS.FOLDER_FILES} files that a prop may have.`);
  }
}

/** Rounded up: what is too large is more than what is allowed. */
function megabytes(bytes: number): string {
  return Math.ceil(bytes / 2 ** 20).toFixed(0);
}
