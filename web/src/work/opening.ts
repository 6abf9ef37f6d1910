/** What stands on the bench when the page opens: the work that was left, a link, or a prop of this site. */

import { isMoot } from "../engine/engine";
import type { FindingView } from "../engine/protocol";
import type { View } from "../view/view";
import type { Kept } from "./autosave";
import { keysOf, type Place } from "./benches";
import { reused, same, sameFiles } from "./bytes";
import { got, type Served } from "./catalogue";
import { unpack } from "./files";
import { first } from "./first-picture";
import type { Files, Values } from "./history";
import type { Journal } from "./journal";
import { unlink } from "./links";
import type { Session } from "./session";
import type { Storage } from "./storage";

/** Whom the page asks and tells while it opens something. */
export interface Host {
  failed(problem: unknown): void;
  told(findings: readonly FindingView[]): void;
  say(words: string): void;
  /** The prop was changed here and where it is served: whether to take the one that is served. */
  takesServed(title: string): Promise<boolean>;
}

/** A picture at once, long before Python is ready. */
export async function firstPicture(view: View): Promise<void> {
  const found = await first;
  if (!found) return;
  await view.show(found.glb, "move");
  if (found.stand) view.place(found.stand.links, found.stand.transforms);
}

/** The work: a link goes on top of what was left, so that undo brings that back. */
export async function firstWork(session: Session, place: Place, journal: Journal, storage: Storage, served: readonly Served[], host: Host): Promise<void> {
  const kept = await takeUp(session, place, journal, storage).catch(() => false); // told by the autosave, which fails, too
  // Where another tab edits, this one only shows what it keeps.
  if (!place.mine.value) return;
  const linked = await openLink(session, served, host).catch((problem: unknown) => host.failed(problem));
  if (linked) return;
  if (kept) await renew(session, served, host);
  else if (served[0]) await openServed(session, served[0]);
}

/** Put on the bench what was kept of it, and where this tab edits, what was done after that. False if there is nothing. */
export async function takeUp(session: Session, place: Place, journal: Journal, storage: Storage): Promise<boolean> {
  const kept = await storage.read<Kept>(keysOf(place.id).bench);
  if (!place.mine.value) {
    if (kept) session.resume(kept.bench, []);
    return kept !== null;
  }
  const settled = new Set(kept?.settled ?? []);
  const left = journal.left();
  journal.forget([...settled]);
  session.resume(kept?.bench ?? null, kept ? left.filter(({ id }) => !settled.has(id)) : []);
  return kept !== null;
}

/** Open what the fragment carries, if it carries anything. */
export async function openLink(session: Session, served: readonly Served[], host: Host): Promise<boolean> {
  const { hash } = location;
  const done = (): void => {
    // Or a reload would undo what comes after. Only now, or one in between would lose the link.
    if (location.hash === hash) history.replaceState(null, "", location.pathname + location.search);
  };
  try {
    const shared = await unlink(hash);
    if (!shared) return false;
    const found = served.find(({ name }) => name === shared.prop);
    if (shared.over && !found) {
      throw new Error(`This link is for a prop named ${shared.prop}, which this site does not have. Ask for its file.`);
    }
    const under = shared.over && found ? await filesOf(found) : {};
    const files = { ...under, ...shared.files };
    const origin = found && Object.keys(shared.files).length === 0 ? { address: found.folder, files, place: found.place } : undefined;
    host.told(await session.open(shared.prop, files, { values: shared.values, origin }));
    if (!shared.of) return true; // it was made before links told which state of the prop they are of
    // Nobody asked for it: where another prop has come, or Python went, there is nothing to tell.
    const now = await session.make("fingerprint", {}).catch((problem: unknown) => {
      if (isMoot(problem)) return "";
      throw problem;
    });
    if (now && !now.startsWith(shared.of)) host.failed(new Error(`${found?.title ?? shared.prop} has changed since this link was made. The pose may look other than it did then.`));
  } finally {
    done();
  }
  return true;
}

export async function openServed(session: Session, served: Served): Promise<readonly FindingView[]> {
  return openFiles(session, served, await filesOf(served));
}

function openFiles(session: Session, { name, folder, place }: Served, files: Files, values?: Values): Promise<readonly FindingView[]> {
  return session.open(name, files, { values, origin: { address: folder, files, place } });
}

/** Where the prop that was left is served otherwise by now, that one comes on top. The builder's own is followed on disk. */
async function renew(session: Session, served: readonly Served[], host: Host): Promise<void> {
  const { folder, files, values, origin } = session.history.work();
  const now = served.find(({ name }) => name === folder);
  if (!origin || origin.place || !now || now.folder === origin.address) return;
  const anew = await filesOf(now);
  if (sameFiles(anew, origin.files) || sameFiles(anew, files)) {
    session.history.rebase({ address: now.folder, files: reused(anew, files) }); // they are only packed otherwise
  } else if (sameFiles(files, origin.files) || (await host.takesServed(now.title))) {
    host.told(await openFiles(session, now, anew, values));
    host.say(`${now.title} has changed where it is served: this is the new one. Undo brings back the one before.`);
  } else session.stay(now.folder);
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
