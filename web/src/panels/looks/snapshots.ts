/** Snapshots read onto the bench. */

import type { FindingView } from "../../engine/protocol";
import type { Session } from "../../work/session";

/** Read a snapshot over the current values; answers what there is to tell about it. */
export async function takeSnapshot(session: Session, data: Uint8Array<ArrayBuffer>, name: string): Promise<readonly FindingView[]> {
  const read = await session.engine.ask("read_snapshot", { data, name });
  session.history.settle();
  session.setValues(name ? `Snapshot ${name}` : "Snapshot", read.values);
  return read.findings;
}
