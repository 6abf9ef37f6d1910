/** A second worker for what takes long, so that the channels stay quick meanwhile. It holds the prop on the bench. */

import { Engine, Stopped } from "../engine/engine";
import type { Files } from "./history";
import type { Session } from "./session";

/**
 * The end of the first worker is told by the page, and its work goes on when it starts again; of the end of the second
 * nobody else tells, and what it was asked is lost: so that rejects as any problem does, never with Stopped.
 */
export type Asked = Pick<Engine, "ask">;

export interface Second {
  /** The worker, with the prop as it is now. It is started when it is first needed: it loads Python a second time. */
  ready(): Promise<Asked>;
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
      const worker = engine;
      const asked: Asked = { ask: (method, params) => worker.ask(method, params).catch(told) };
      if (held !== files) {
        held = files;
        await asked.ask("open", { files, name: folder }).catch((problem: unknown) => {
          if (engine === worker && held === files) held = null;
          throw problem;
        });
      }
      return asked;
    },
    held: () => held,
  };
}

function told(problem: unknown): never {
  throw problem instanceof Stopped ? new Error(`Python stopped before this was done: ${problem.message}. Try again.`) : problem;
}
