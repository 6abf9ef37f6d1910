/** All that was made outlives a reload: the work with its history, and the picture for the time before Python. */

import type { Session } from "./session";
import { autosave, type Saved } from "./storage";

export function keepAll(session: Session, told: (state: Saved) => void): void {
  const keep = autosave(told);
  session.history.record.subscribe((bench) => bench.work.folder && keep("bench", bench));
  session.picture.subscribe((picture) => picture && keep("picture", picture));
  session.pose.subscribe((pose) => {
    const prop = session.prop.value;
    if (prop && pose) keep("stand", { links: prop.links, transforms: pose.links });
  });
}
