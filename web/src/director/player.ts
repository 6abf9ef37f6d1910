/** What is shown: a look, or a moment of a show that plays. */

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import type { LookSaid, ShowSaid } from "./form";

export interface Player {
  readonly look: Signal<LookSaid | null>;
  readonly show: Signal<ShowSaid | null>;
  /** Seconds of the show's own clock. */
  readonly time: Signal<number>;
  readonly playing: Signal<boolean>;
  readonly end: ReadonlySignal<number>;
  pick(look: LookSaid): void;
  open(show: ShowSaid, time?: number): void;
  seek(time: number): void;
  play(): void;
  pause(): void;
}

export function createPlayer(first: LookSaid | null, shows: readonly ShowSaid[]): Player {
  const look = signal(first);
  const show = signal(first ? null : (shows[0] ?? null));
  const time = signal(show.value?.begin ?? 0);
  const playing = signal(false);
  let runs = 0;
  const end = computed(() => (show.value ? show.value.begin + (show.value.poses.count - 1) / show.value.rate : 0));

  function seek(to: number): void {
    time.value = Math.min(Math.max(to, show.value?.begin ?? 0), end.value);
  }

  function play(): void {
    if (!show.value || playing.value) return;
    if (time.value >= end.value) seek(show.value.begin);
    playing.value = true;
    const run = (runs += 1); // what was paused and played again before its next picture goes on once
    let last: number | null = null;
    const step = (at: number): void => {
      if (!playing.value || run !== runs) return;
      if (last !== null) seek(time.value + (at - last) / 1000);
      last = at;
      if (time.value >= end.value) playing.value = false;
      else requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  }

  return {
    look,
    show,
    time,
    playing,
    end,
    pick(to) {
      playing.value = false;
      show.value = null;
      look.value = to;
    },
    open(to, at = to.begin) {
      playing.value = false;
      look.value = null;
      show.value = to;
      seek(at);
    },
    seek,
    play,
    pause: () => void (playing.value = false),
  };
}
