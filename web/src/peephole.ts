/** A debugging door, for tests and for a look from the browser's console: `posekit.node("head")`. */

import type { Session } from "./session";
import type { View } from "./view/view";

export interface Peephole {
  /** Where a link is drawn: picture_from_link, column by column (metres, +Y up), or null. */
  node(link: string): number[] | null;
  /** The work as it would be saved: name of the folder, values, text of the prop file. */
  work(): { folder: string; values: Readonly<Record<string, number>>; text: string };
  /** End the worker as a crash would; nothing else here changes anything. */
  crash(): void;
}

declare global {
  interface Window {
    posekit?: Peephole;
  }
}

export function openPeephole(session: Session, view: View): void {
  window.posekit = {
    node(link) {
      const node = view.figure()?.node(link);
      return node ? [...node.matrixWorld.elements] : null;
    },
    work() {
      const { folder, values, files } = session.history.work();
      return { folder, values, text: new TextDecoder().decode(files["prop.toml"]) };
    },
    crash: () => session.engine.stop("ended from the console"),
  };
}
