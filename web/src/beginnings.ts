/** What stands on the bench when the page opens: the work that was left, a link, or a prop of this site. */

import { same } from "./bytes";
import { got, type Served } from "./catalogue";
import { unpack } from "./files";
import type { Session } from "./session";
import { unlink } from "./share";
import type { Files, Values } from "./state";
import { kept } from "./storage";
import type { View } from "./view/view";

/** A picture at once, long before Python is ready. */
export async function firstPicture(view: View, served: readonly Served[]): Promise<void> {
  const picture = location.hash === "" ? await kept("picture") : null;
  if (picture) {
    const stand = await kept("stand");
    await view.show(picture.slice().buffer, "move");
    if (stand) view.place(stand.links, stand.transforms);
  } else {
    const named = await unlink(location.hash).catch(() => null);
    const first = served.find(({ name }) => name === named?.prop) ?? served[0];
    if (first) await view.show(await (await got(first.picture)).arrayBuffer(), "move");
  }
}

/** The work: a link goes on top of what was left, so that undo brings that back. */
export async function firstWork(session: Session, served: readonly Served[]): Promise<void> {
  const bench = await kept("bench");
  if (bench) session.resume(bench);
  const linked = await openLink(session, served);
  const first = served[0];
  if (!bench && !linked && first) await openServed(session, first);
}

/** Open what the fragment carries, if it carries anything. */
export async function openLink(session: Session, served: readonly Served[]): Promise<boolean> {
  const shared = await unlink(location.hash);
  if (!shared) return false;
  history.replaceState(null, "", location.pathname + location.search); // or a reload would undo what comes after
  if (shared.files) {
    await session.open(shared.prop, shared.files, shared.values);
    return true;
  }
  const found = served.find(({ name }) => name === shared.prop);
  if (!found) throw new Error(`This link is for a prop named ${shared.prop}, which this site does not have. Ask for its file.`);
  await openServed(session, found, shared.values);
  return true;
}

export async function openServed(session: Session, { name, folder, picture }: Served, values?: Values): Promise<void> {
  const [files, drawn] = await Promise.all([filesOf(folder, name), got(picture).then((answer) => answer.arrayBuffer())]);
  await session.open(name, files, values, new Uint8Array(drawn));
}

/** Whether these are, unchanged, the files of a prop that this site serves. */
export async function isServed(served: readonly Served[], name: string, files: Files): Promise<boolean> {
  const found = served.find((each) => each.name === name);
  if (!found) return false;
  const others = await filesOf(found.folder, name);
  const paths = Object.keys(files);
  return paths.length === Object.keys(others).length && paths.every((path) => same(files[path], others[path]));
}

async function filesOf(folder: string, name: string): Promise<Files> {
  return unpack(new Uint8Array(await (await got(folder)).arrayBuffer()), name).files;
}
