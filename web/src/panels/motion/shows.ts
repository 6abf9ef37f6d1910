/** Shows from the builder's disk. */

import type { Session } from "../../work/session";
import type { Rehearsal } from "./rehearsal";

/** The folder of the prop that holds its shows. */
export const SHOWS = "shows/";

/** Open a show from the builder's disk. A list of cues is kept with the prop, a recording only while it is open. */
export async function openShow(session: Session, rehearsal: Rehearsal, name: string, data: Uint8Array<ArrayBuffer>): Promise<void> {
  await rehearsal.open(name, data);
  if (!name.toLowerCase().endsWith(".toml")) return;
  const path = `${SHOWS}${name}`;
  session.history.settle();
  await session.take(`Keep show ${name}`, await session.engine.ask("keep_file", { path, data }), path);
  await rehearsal.open(path);
}
