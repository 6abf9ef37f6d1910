/** What stands on the bench when the page opens: the work that was left, a link, or a prop of this site. */

import { same } from "./bytes";
import { got, type Served } from "./catalogue";
import { unpack } from "./files";
import { first } from "./first-picture";
import type { Session } from "./session";
import { unlink } from "./links";
import type { Files } from "./history";
import { kept } from "./storage";
import type { View } from "../view/view";

/** A picture at once, long before Python is ready. */
export async function firstPicture(view: View): Promise<void> {
  const found = await first;
  if (!found) return;
  await view.show(found.glb, "move");
  if (found.stand) view.place(found.stand.links, found.stand.transforms);
}

/** The work: a link goes on top of what was left, so that undo brings that back. */
export async function firstWork(session: Session, served: readonly Served[]): Promise<void> {
  const bench = await kept("bench");
  if (bench) session.resume(bench);
  const linked = await openLink(session, served);
  const prop = served[0];
  if (!bench && !linked && prop) await openServed(session, prop);
}

/** Open what the fragment carries, if it carries anything. */
export async function openLink(session: Session, served: readonly Served[]): Promise<boolean> {
  const shared = await unlink(location.hash);
  if (!shared) return false;
  history.replaceState(null, "", location.pathname + location.search); // or a reload would undo what comes after
  const found = served.find(({ name }) => name === shared.prop);
  if (shared.over && !found) {
    throw new Error(`This link is for a prop named ${shared.prop}, which this site does not have. Ask for its file.`);
  }
  const under = shared.over && found ? await filesOf(found) : {};
  await session.open(shared.prop, { ...under, ...shared.files }, shared.values);
  return true;
}

export async function openServed(session: Session, prop: Served): Promise<void> {
  await session.open(prop.name, await filesOf(prop));
}

/** The files that differ from those this site serves under the name; null if it has no such prop, or files are gone. */
export async function changedFiles(served: readonly Served[], name: string, files: Files): Promise<Files | null> {
  const found = served.find((each) => each.name === name);
  if (!found) return null;
  const others = await filesOf(found);
  if (Object.keys(others).some((path) => !files[path])) return null;
  return Object.fromEntries(Object.entries(files).filter(([path, data]) => !same(data, others[path])));
}

async function filesOf({ folder, name }: Served): Promise<Files> {
  return unpack(new Uint8Array(await (await got(folder)).arrayBuffer()), name).files;
}
