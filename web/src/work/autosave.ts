/** All that was made outlives a reload: the work with its history, and the picture for the time before Python. */

import type { Session } from "./session";
import { autosave, type Saved } from "./storage";

export function keepAll(session: Session, told: (state: Saved) => void): void {
  const keep = autosave(told);
  session.history.record.watch((bench) => bench.work.folder && keep("bench", bench));
  session.picture.watch((picture) => picture && keep("picture", picture));
  session.pose.watch((pose) => {
    const prop = session.prop.get();
    if (prop && pose) keep("stand", { links: prop.links, transforms: pose.links });
  });
}
