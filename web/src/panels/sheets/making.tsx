/** A sheet that is made piece by piece: its button, how far it is, and Stop. */

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { FileView } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Findings } from "../../ui/finding";
import { useRefusal } from "../../ui/refusal";

/** How many pieces are done of how many, and the file once all are. */
interface Made {
  readonly done: number;
  readonly of: number;
  readonly file: FileView | null;
}

interface Props {
  /** What the button says. */
  readonly words: string;
  /** What the pieces are, and what is done with them. */
  readonly pieces: string;
  readonly progress: string;
  readonly begin: () => Promise<Made>;
  readonly on: () => Promise<Made>;
  readonly show: (file: FileView) => void;
}

export function Making({ words, pieces, progress, begin, on, show }: Props) {
  const refusal = useRefusal();
  const done = useSignal<readonly [number, number] | null>(null);
  const stopped = useRef(false);

  async function make(): Promise<void> {
    stopped.current = false;
    done.value = [0, 1];
    try {
      let view = await begin();
      while (!view.file && !stopped.current) {
        done.value = [view.done, view.of];
        view = await on();
      }
      if (view.file && !stopped.current) show(view.file);
    } finally {
      done.value = null;
    }
  }
  useEffect(() => () => void (stopped.current = true), []);

  return (
    <>
      <div class="row">
        {done.value ? (
          <Button words="Stop" onClick={() => (stopped.current = true)} />
        ) : (
          <Button icon="look" words={words} kind="main" onClick={() => void refusal.attempt(make)} />
        )}
      </div>
      {done.value && <progress class="progress progress--wide" aria-label={progress} max={done.value[1]} value={done.value[0]} />}
      <p class="quiet number" role="status">{done.value && `${done.value[0]} of ${done.value[1]} ${pieces}`}</p>
      <Findings findings={refusal.findings} />
    </>
  );
}
