/** One drive that swings: a clock, and poses fetched from Python a block at a time. Its limits are tried, not kept. */

import { type Signal, signal } from "@preact/signals";
import { Refused } from "../../engine/engine";
import type { FramesView, SwingView } from "../../engine/protocol";
import type { View } from "../../view/view";
import type { Session } from "../../work/session";
import type { Player } from "../motion/player";

const HZ = 60; // poses a second
const BLOCK = 60; // poses fetched at once
const LONGEST_TICK_MS = 250; // a tab that was put aside does not leap when it comes back

export interface Swinger {
  /** What swings, or swung last; null where nothing did of this prop as it stands. */
  readonly swing: Signal<SwingView | null>;
  readonly on: Signal<boolean>;
  /** Swing a drive, under the limits that were tried last of it while the prop stood as it does, or its own. Rejects as the engine's `ask`. */
  start(drive: string): Promise<void>;
  /** Try other limits, while it swings or for the next time. Rejects as the engine's `ask`. */
  limit(speed: number | null, acceleration: number | null): Promise<void>;
  /** Stand again as the channels say. */
  stop(): void;
}

export function createSwinger(session: Session, player: Player, view: View, panel: Signal<string>, failed: (problem: unknown) => void): Swinger {
  const swing = signal<SwingView | null>(null);
  const on = signal(false);
  let time = 0; // s since it began
  let last = 0; // when the clock was looked at, in ms
  let blocks: readonly FramesView[] = [];
  let stale = false; // what is held is of other limits; it is shown until the new is here
  let fetching = false;
  let run = 0; // counts starts and stops: what was asked for an earlier one is not shown

  const count = (block: FramesView): number => block.links.shape[0] ?? 0;
  const holding = (at: number): FramesView | undefined => blocks.find((block) => at >= block.begin && at < block.begin + block.step * count(block));

  function draw(): void {
    const [block, prop] = [holding(time), session.prop.value];
    if (!on.value || !block || !prop || block.links.shape[1] !== prop.links.length) return;
    view.act(prop.links, block.links, Math.min(Math.floor((time - block.begin) / block.step), count(block) - 1), null, block.linkages);
  }

  function tick(now: number): void {
    if (!on.value) return;
    const next = time + Math.min(now - last, LONGEST_TICK_MS) / 1000;
    last = now;
    // The clock waits for Python, so that nothing of the way is left out.
    if (holding(next)) time = next;
    draw();
    void fetchNext();
    requestAnimationFrame(tick);
  }

  async function fetchNext(): Promise<void> {
    const [held, fresh, of] = [stale ? undefined : holding(time), stale, run];
    const begin = held ? held.begin + held.step * count(held) : time;
    if (!on.value || fetching || (held && (begin - time > BLOCK / HZ || holding(begin + 1e-6)))) return;
    fetching = true;
    stale = false;
    try {
      const block = await session.engine.ask("swing_frames", { begin, step: 1 / HZ, count: BLOCK, linkages: session.linkages.value });
      if (of === run) blocks = fresh ? [block] : [...blocks.slice(-1), block];
    } catch (problem) {
      if (of === run) stop();
      failed(problem);
    } finally {
      fetching = false;
    }
  }

  function stop(): void {
    if (!on.value) return;
    run += 1;
    on.value = false;
    blocks = [];
    view.rest();
  }

  async function ask(drive: string, speed: number | null, acceleration: number | null, at: number | null): Promise<void> {
    swing.value = await session.engine.ask("swing", { drive, values: session.values(), speed, acceleration, at });
    stale = true;
  }

  /** The prop has changed: it goes on by what that is now; what swings no more was of the prop as it was. */
  function renew(): void {
    const now = swing.value;
    if (!now) return;
    const drive = session.prop.value?.drives.find(({ name }) => name === now.drive);
    if (!drive || !on.value) {
      stop();
      swing.value = null;
    } else {
      ask(now.drive, now.limit.speed, now.limit.acceleration, time).catch((problem: unknown) => {
        if (problem instanceof Refused) stop();
        failed(problem);
      });
    }
  }

  session.prop.subscribe(renew);
  let { values, opened } = session.history.work();
  session.history.record.subscribe(({ work }) => {
    if (work.opened !== opened) {
      stop();
      swing.value = null;
    } else if (work.values !== values) stop(); // a hand on a channel wants to see that channel
    ({ values, opened } = work);
  });
  player.playing.subscribe((playing) => playing && stop());
  panel.subscribe((now) => now !== "bench" && stop()); // where nothing on the page could stop it

  return {
    swing,
    on,
    stop,

    async start(drive) {
      const tried = swing.value?.drive === drive ? swing.value.limit : null;
      const own = session.prop.value?.drives.find(({ name }) => name === drive);
      player.leave();
      stop();
      const limit = (key: string): number | null => {
        const value = own?.fields.find(({ path }) => path === `${own.path}.${key}`)?.value;
        return typeof value === "number" ? value : null;
      };
      await ask(drive, tried ? tried.speed : limit("speed"), tried ? tried.acceleration : limit("acceleration"), null);
      if (swing.value?.drive !== drive) return;
      run += 1;
      [on.value, time, blocks, last] = [true, 0, [], performance.now()];
      void fetchNext();
      requestAnimationFrame(tick);
    },

    async limit(speed, acceleration) {
      if (swing.value) await ask(swing.value.drive, speed, acceleration, on.value ? time : null);
    },
  };
}
