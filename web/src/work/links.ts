/** Links that carry a prop and a pose in the fragment, which no browser sends to a server. */

import { BUDGETS } from "../engine/protocol";
import type { Files, Values } from "./history";
import { base64, read, unbase64, type Written, written } from "./written";

/** A prop and its values. */
export interface Shared {
  readonly prop: string;
  /** Whether `files` lie over those of the prop that this site serves under the name, or are the whole folder. */
  readonly over: boolean;
  readonly files: Files;
  readonly values: Values;
  /** The first letters of the prop's fingerprint as it was then; empty in links made before they had one. */
  readonly of: string;
}

/** Links longer than this get cut by mail and chat programs; common practice. */
export const LONGEST_LINK = 8000;

const KEY = "pose";
/** So many letters tell states of one prop apart, as those printed on its sheets do. */
export const PRINT_LETTERS = 12;
// zlib (RFC 1950) ends with a checksum of what it holds: without one, a third of links with one wrong letter open as
// another pose. Links made earlier are bare deflate, which never begins as zlib does.
const CHECKED = "deflate";
const BARE = "deflate-raw";
const ZLIB = 0x78;

/** Whether a fragment is that of a link; others only point at a place on the page. */
export function carriesPose(fragment: string): boolean {
  return new URLSearchParams(fragment.replace(/^#/, "")).has(KEY);
}

/** The link for `shared` on the page `base`. */
export async function link({ files, ...rest }: Shared, base: string): Promise<string> {
  const packed: Packed = { ...rest, files: mapped(files, written) };
  const bytes = await through(new CompressionStream(CHECKED), new TextEncoder().encode(JSON.stringify(packed)));
  return `${base.replace(/#.*$/, "")}#${KEY}=${base64(bytes)}`;
}

/** What the fragment carries; null if it carries nothing. A damaged link is an error. */
export async function unlink(fragment: string): Promise<Shared | null> {
  const letters = new URLSearchParams(fragment.replace(/^#/, "")).get(KEY);
  if (letters === null) return null;
  if (letters.length > BUDGETS.LINK_LETTERS) throw new TooLarge();
  try {
    const packed = unbase64(letters.replace(/[^\w-]+$/, "")); // a full stop or bracket that a mail program took into the link
    const bytes = await through(new DecompressionStream(packed[0] === ZLIB ? CHECKED : BARE), packed);
    const { prop, over, files, values, of } = JSON.parse(new TextDecoder().decode(bytes)) as Packed;
    if (typeof prop !== "string" || !Object.values(values).every(Number.isFinite)) throw new Error("not a pose");
    return { prop, over: over === true, files: mapped(files, read), values, of: typeof of === "string" ? of : "" };
  } catch (problem) {
    if (problem instanceof TooLarge) throw problem;
    throw new Error("This link is damaged or cut short. Ask for it again, or for the file.");
  }
}

type Packed = Omit<Shared, "files" | "of"> & { readonly of?: unknown } & { readonly files: Readonly<Record<string, Written>> };

async function through(
  change: CompressionStream | DecompressionStream,
  bytes: Uint8Array<ArrayBuffer>,
): Promise<Uint8Array<ArrayBuffer>> {
  const parts: Uint8Array<ArrayBuffer>[] = [];
  let size = 0;
  const reader = new Blob([bytes]).stream().pipeThrough(change).getReader();
  for (let next = await reader.read(); !next.done; next = await reader.read()) {
    size += next.value.byteLength;
    if (size > BUDGETS.INFLATED_BYTES) {
      void reader.cancel(); // not all of it, to find out how much it is
      throw new TooLarge();
    }
    parts.push(next.value);
  }
  return new Uint8Array(await new Blob(parts).arrayBuffer());
}

class TooLarge extends Error {
  constructor() {
    super("This link holds more than any prop. Ask for the prop as a file.");
  }
}

function mapped<A, B>(record: Readonly<Record<string, A>>, change: (value: A) => B): Record<string, B> {
  return Object.fromEntries(Object.entries(record).map(([key, value]) => [key, change(value)]));
}
