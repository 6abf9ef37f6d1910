/** The doors of `posekit show` to the folder that it shows. Only the page that came by the address it gave out may save. */

import { Refused } from "../engine/engine";
import type { FileDifference as Changed, FindingView } from "../engine/protocol";
import type { Files } from "./history";
import { written } from "./written";

/** How the prop stands on disk. `files` are the digests of those last read without an error, by path. */
export interface OnDisk {
  /** Another name for any other state. */
  readonly state: string;
  readonly place: string;
  readonly name: string;
  readonly title: string;
  /** Why nothing can be saved into it; empty if it can. */
  readonly read_only: string;
  /** Whether this page may save. */
  readonly may_save: boolean;
  readonly files: Readonly<Record<string, string>>;
  /** What is wrong with the files that are there now. */
  readonly findings: readonly FindingView[];
}

/** What becomes of one file. `meanwhile`: what lies there is not what the page took; it changed since, or lay there before. */
export interface FileDifference extends Changed {
  readonly meanwhile: boolean;
}

/** A difference that can be saved by its number. */
export interface Difference {
  readonly number: number;
  readonly where: string;
  readonly files: readonly FileDifference[];
}

/** What was saved, what was left as it is on disk, and how that stands now. */
export interface Saved extends OnDisk {
  readonly saved: readonly string[];
  readonly left: readonly string[];
}

/** Where a phone in the same network finds this page. */
export interface Phone {
  readonly address: string;
  /** The network that it has to be in. */
  readonly network: string;
  /** The address as rows of a QR code; 1 is dark. */
  readonly rows: readonly string[];
}

/** The way to a folder on disk, whoever holds it open: `posekit show`, or the browser itself. */
export interface Doors {
  /** How it stands now; null where that is what was `seen`. */
  look(seen: string): Promise<OnDisk | null>;
  /** A file by its digest. */
  fileOf(digest: string): Promise<Uint8Array<ArrayBuffer>>;
  /** What these files would change in the folder; null removes one. `known` are the digests of those that the page took from it. */
  difference(files: Readonly<Record<string, Files[string] | null>>, known: Readonly<Record<string, string>>): Promise<Difference>;
  /** Save what was shown. Of files that changed on disk meanwhile only those in `wins`. Rejects with ChangedOnDisk or Refused. */
  save(number: number, wins: readonly string[]): Promise<Saved>;
}

/** The folder has changed since the difference was shown, or another one was; nothing was written. */
export class ChangedOnDisk extends Refused {}

const KEY = "posekit:key";
const CONFLICT = 409;
const PATIENCE_MS = 10_000;

let memory: string | null = null; // for browsers that keep nothing

/** Go in by the key in the address, if there is one; it is taken out of sight first. */
export async function enter(): Promise<void> {
  const key = new URLSearchParams(location.hash.replace(/^#/, "")).get("key");
  if (key === null) return;
  history.replaceState(null, "", location.pathname + location.search);
  const answer = await ask<{ readonly key: string }>("enter", { key });
  memory = answer.key;
  try {
    localStorage.setItem(KEY, answer.key);
  } catch {
    // As it is then: this tab alone may save.
  }
}

async function look(seen: string): Promise<OnDisk | null> {
  const answer = await get(`now?seen=${seen}`);
  return answer.status === 204 ? null : ((await answer.json()) as OnDisk);
}

async function fileOf(digest: string): Promise<Uint8Array<ArrayBuffer>> {
  return new Uint8Array(await (await get(`file/${digest}`)).arrayBuffer());
}

function difference(files: Readonly<Record<string, Files[string] | null>>, known: Readonly<Record<string, string>>): Promise<Difference> {
  const sent = Object.entries(files).map(([path, data]) => [path, data === null ? null : written(data)]);
  return ask("difference", { files: Object.fromEntries(sent) as unknown, known });
}

function save(number: number, wins: readonly string[]): Promise<Saved> {
  return ask("save", { number, wins });
}

/** Where a phone finds this page; null where none may look, and for a page that may not save. */
export async function phone(): Promise<Phone | null> {
  const answer = await get("phone");
  return answer.status === 204 ? null : ((await answer.json()) as Phone);
}

/** The doors of `posekit show`. */
export const SHOWN: Doors = { look, fileOf, difference, save };

async function get(door: string): Promise<Response> {
  const answer = await fetch(new URL(`folder/${door}`, document.baseURI), { headers: { "Posekit-Key": key() }, signal: AbortSignal.timeout(PATIENCE_MS) });
  if (!answer.ok) throw new Error(await answer.text());
  return answer;
}

async function ask<Answer>(door: string, body: unknown): Promise<Answer> {
  const answer = await fetch(new URL(`folder/${door}`, document.baseURI), {
    method: "POST",
    headers: { "Content-Type": "application/json", "Posekit-Key": key() },
    body: JSON.stringify(body),
  }).catch(() => {
    throw new Error("posekit show does not answer: it has ended. Start it again; your work is kept in this browser.");
  });
  if (answer.ok) return (await answer.json()) as Answer;
  if (!answer.headers.get("Content-Type")?.startsWith("application/json")) throw new Error(await answer.text());
  const { findings } = (await answer.json()) as { readonly findings: readonly FindingView[] };
  throw answer.status === CONFLICT ? new ChangedOnDisk(findings) : new Refused(findings);
}

function key(): string {
  try {
    return localStorage.getItem(KEY) ?? memory ?? ""; // of the tab that went in last, which another run may have let in
  } catch {
    return memory ?? "";
  }
}
