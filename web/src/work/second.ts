/** A second worker for what takes long, so that the channels stay quick meanwhile. It holds the prop on the bench. */

import { Engine, type Make, NOT_MADE, Overtaken, Stopped } from "../engine/engine";
import type { Files } from "./history";
import type { Session } from "./session";

/**
 * The end of the first worker is told by the page, and its work goes on when it starts again; of the end of the second
 * nobody else tells, and what it was asked is lost: so that rejects as any problem does, never with Stopped.
 */
export interface Asked extends Pick<Engine, "ask"> {
  readonly make: Make;
}

export interface Second {
  /** The worker, with the prop as it is now. It is started when it is first needed: it loads Python a second time. */
  ready(): Promise<Asked>;
  /** The files that it holds. */
  held(): Files | null;
}

export function createSecond(session: Session): Second {
  let engine: Engine | null = null;
  let held: Files | null = null;
  let prop = ""; // that these are of

  return {
    async ready() {
      const { folder, files, opened } = session.history.work();
      engine ??= new Engine(({ stage }) => {
        if (stage === "stopped") [engine, held] = [null, null];
      });
      const worker = engine;
      if (held !== files || prop !== opened) {
        [held, prop] = [files, opened];
        await worker.bring("open", { files, name: folder }, opened).catch((problem: unknown) => {
          if (engine === worker && held === files) held = null;
          told(problem);
        });
      }
      return {
        ask: (method, params) => worker.ask(method, params).catch(told),
        async make(method, params) {
          const made = await worker.make(method, params, opened).catch(told);
          // It hears of another prop only when it is needed again, and makes what it was asked of the one before.
          if (session.opened.peek() !== opened) throw new Overtaken(NOT_MADE);
          return made;
        },
      };
    },
    held: () => held,
  };
}

function told(problem: unknown): never {
  throw problem instanceof Stopped ? new Error(`Python stopped before this was done: ${problem.message}. Try again.`) : problem;
}
