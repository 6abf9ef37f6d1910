/** The picture sheet: all looks from three sides, made look by look. */

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { Button } from "../../ui/button";
import { Findings } from "../../ui/finding";
import { useRefusal } from "../../ui/refusal";
import type { MakerProps } from "./maker";

export function Pictures({ session, paper, show }: MakerProps) {
  const refusal = useRefusal();
  const done = useSignal<readonly [number, number] | null>(null);
  const stopped = useRef(false);

  async function make(): Promise<void> {
    stopped.current = false;
    done.value = [0, 1];
    try {
      let view = await session.engine.ask("pictures", { paper });
      while (!view.file && !stopped.current) {
        done.value = [view.done, view.of];
        view = await session.engine.ask("pictures_on", {});
      }
      if (view.file && !stopped.current) show(view.file);
    } finally {
      done.value = null;
    }
  }
  useEffect(() => () => void (stopped.current = true), []);

  return (
    <div class="stack">
      <p class="quiet">Every look from the front, the left and above, all to one scale, with what there is to tell of it. To print, or as one picture.</p>
      <div class="row">
        {done.value ? (
          <Button words="Stop" onClick={() => (stopped.current = true)} />
        ) : (
          <Button icon="look" words="Show the picture sheet" kind="main" onClick={() => void refusal.attempt(make)} />
        )}
      </div>
      {done.value && <progress class="progress progress--wide" aria-label="Looks drawn" max={done.value[1]} value={done.value[0]} />}
      <p class="quiet number" role="status">{done.value && `${done.value[0]} of ${done.value[1]} looks`}</p>
      <Findings findings={refusal.findings} />
    </div>
  );
}
