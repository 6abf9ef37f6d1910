/** Plays a show: a clock, and poses fetched from Python a chunk at a time, so that a show of any length streams. */

import { type Signal, signal } from "@preact/signals";
import { Refused } from "../../engine/engine";
import type { FramesView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import type { View } from "../../view/view";
import type { Rehearsal } from "./rehearsal";

const HZ = 60; // poses a second of wall time
const CHUNK = 60; // poses fetched at once
const KEPT = 3; // chunks: this one, the next, and the one after where the next is cut short by the end of the show
const LONGEST_TICK = 250; // ms; a tab that was put aside does not leap when it comes back
const SLACK = 1e-6; // s

export interface Player {
  /** Where the play is, in s of the show. */
  readonly time: Signal<number>;
  readonly playing: Signal<boolean>;
  /** True while the play stands because Python has not come to the next poses yet. */
  readonly waiting: Signal<boolean>;
  readonly rate: Signal<number>;
  readonly loop: Signal<boolean>;
  /** Show the commanded pose, too. */
  readonly ghost: Signal<boolean>;
  play(): void;
  pause(): void;
  seek(time: number): void;
  /** Leave the show: the figure stands as the channels say. */
  leave(): void;
  /** Poses held now, for tests. */
  held(): number;
}

interface Chunk extends FramesView {
  readonly count: number;
}

export function createPlayer(session: Session, rehearsal: Rehearsal, view: View, failed: (problem: unknown) => void): Player {
  const time = signal(0);
  const playing = signal(false);
  const waiting = signal(false);
  const rate = signal(1);
  const loop = signal(false);
  const ghost = signal(false);
  let chunks: Chunk[] = [];
  let stale = false; // what is held is of another motion, density or choice; it is shown until the new is here
  let fetching = false;
  let lost = false; // Python went, and the show with it; it is opened again once Python runs and has the prop
  let on = false; // the figure belongs to the show
  let last = 0; // when the clock was looked at, in ms
  let asked = 0;
  let due = 0; // the time the clock asks for, though its pose may not be here yet

  const covers = (chunk: Chunk, at: number): boolean =>
    at >= chunk.begin - SLACK && at < chunk.begin + chunk.step * chunk.count - SLACK;
  const holding = (at: number): Chunk | undefined => chunks.find((chunk) => covers(chunk, at));

  function span(): { begin: number; end: number } {
    const show = rehearsal.show.value;
    return show ? { begin: show.begin, end: show.end } : { begin: 0, end: 0 };
  }

  function draw(): void {
    const prop = session.prop.value;
    const chunk = holding(time.value);
    if (!on || !prop || !chunk) return;
    const step = Math.min(Math.max(Math.round((time.value - chunk.begin) / chunk.step), 0), chunk.count - 1);
    if (chunk.links.shape[1] === prop.links.length) view.act(prop.links, chunk.links, step, chunk.commanded, chunk.linkages);
  }

  function tick(now: number): void {
    asked = 0;
    if (!playing.value) return;
    const { begin, end } = span();
    const passed = (Math.min(now - last, LONGEST_TICK) / 1000) * rate.value;
    last = now;
    let next = time.value + passed;
    if (next >= end) next = loop.value && end > begin ? begin + ((next - begin) % (end - begin)) : end;
    due = next;
    const here = next >= end || holding(next) !== undefined;
    waiting.value = !here;
    if (here) {
      time.value = next;
      draw();
      if (next >= end && !loop.value) pause();
    }
    void fetchNext();
    run();
  }

  function run(): void {
    if (playing.value) asked ||= requestAnimationFrame(tick);
  }

  /** Where poses are wanted next: now, or where those at hand end. Null if there are enough. */
  function wanted(): { begin: number; count: number } | null {
    const { begin, end } = span();
    const now = Math.min(time.value, end);
    let chunk = stale ? undefined : holding(now);
    if (!chunk) return { begin: now, count: playing.value ? CHUNK : 1 };
    for (let ahead = 1; ahead < KEPT && playing.value; ahead += 1) {
      const until: number = chunk.begin + chunk.step * chunk.count;
      const last = until >= end - SLACK;
      if (last && !loop.value) return null;
      const then = last ? begin : until;
      chunk = holding(then + SLACK);
      if (!chunk) return { begin: then, count: CHUNK };
      if (holding(due)) return null;
    }
    return null;
  }

  async function fetchNext(): Promise<void> {
    const want = on && rehearsal.show.value && !fetching && !lost ? wanted() : null;
    if (!want) return;
    const fresh = stale;
    fetching = true;
    stale = false;
    try {
      const step = rate.value / HZ;
      const frames = await session.engine.ask("frames", { ...want, step, commanded: ghost.value, linkages: session.linkages.value });
      const old = fresh || !playing.value ? [] : chunks.slice(1 - KEPT);
      chunks = [...old, { ...frames, count: want.count }];
      if (!playing.value) draw();
    } catch (problem) {
      if (problem instanceof Refused) pause();
      failed(problem);
      return;
    } finally {
      fetching = false;
    }
    void fetchNext();
  }

  function renew(): void {
    stale = true;
    void fetchNext();
  }

  function pause(): void {
    playing.value = false;
    waiting.value = false;
  }

  function leave(): void {
    pause();
    on = false;
    chunks = [];
    view.rest();
  }

  session.progress.subscribe(({ stage }) => {
    lost ||= stage === "stopped";
  });
  rehearsal.show.subscribe((show) => {
    lost = false;
    if (!show) {
      leave();
      time.value = 0;
      return;
    }
    time.value = Math.min(Math.max(time.value, show.begin), show.end);
    renew();
  });
  rate.subscribe(renew);
  ghost.subscribe(renew);
  session.linkages.subscribe(renew);
  session.picture.subscribe(draw); // another figure stands there until it is told otherwise

  // A hand on a channel wants to see that channel.
  let values = session.values();
  session.history.record.subscribe(({ work }) => {
    if (work.values !== values && on && !playing.value) leave();
    values = work.values;
  });

  return {
    time,
    playing,
    waiting,
    rate,
    loop,
    ghost,
    play() {
      if (!rehearsal.show.value) return;
      if (time.value >= span().end) time.value = span().begin;
      on = true;
      playing.value = true;
      last = performance.now();
      due = time.value;
      void fetchNext();
      run();
    },
    pause,
    seek(to) {
      const { begin, end } = span();
      on = true;
      time.value = Math.min(Math.max(to, begin), end);
      draw();
      void fetchNext();
    },
    leave,
    held: () => chunks.reduce((sum, { count }) => sum + count, 0),
  };
}
