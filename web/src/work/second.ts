/** A second worker for what takes long, so that the channels stay quick meanwhile. It holds the prop on the bench. */

import { Engine } from "../engine/engine";
import type { Files } from "./history";
import type { Session } from "./session";

export interface Second {
  /** The worker, with the prop as it is now. It is started when it is first needed: it loads Python a second time. */
  ready(): Promise<Engine>;
  /** The files that it holds. */
  held(): Files | null;
}

export function createSecond(session: Session): Second {
  let engine: Engine | null = null;
  let held: Files | null = null;

  return {
    async ready() {
      const { folder, files } = session.history.work();
      engine ??= new Engine(({ stage }) => {
        if (stage === "stopped") [engine, held] = [null, null];
      });
      const asked = engine;
      if (held !== files) {
        held = files;
        await asked.ask("open", { files, name: folder }).catch((problem: unknown) => {
          if (engine === asked && held === files) held = null;
          throw problem;
        });
      }
      return asked;
    },
    held: () => held,
  };
}
