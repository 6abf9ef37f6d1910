/** Shows from the builder's disk. */

import { mayReplace } from "../../dialogs/ask";
import { askingFirst } from "../../work/replacing";
import type { Session } from "../../work/session";
import type { Rehearsal } from "./rehearsal";

/** The folder of the prop that holds its shows. */
export const SHOWS = "shows/";

/** Keep a show that is open with the prop, if it is a list of cues; a recording is there only while it is open. */
export async function keepShow(session: Session, rehearsal: Rehearsal, name: string, data: Uint8Array<ArrayBuffer>): Promise<void> {
  if (!name.toLowerCase().endsWith(".toml")) return;
  const path = `${SHOWS}${name}`;
  const dropped = rehearsal.source();
  const keep = (replace: boolean): Promise<void> => session.change(`Keep show ${name}`, "keep_file", { path, data, replace }, path);
  if (!(await askingFirst(keep, mayReplace("show")))) return;
  if (dropped) await rehearsal.keptAs(path, dropped); // it may be played by now, or another be open
}
