/** Poses for the bench: every drive at once, each one step of undo. */

import { useSignal } from "@preact/signals";
import type { FindingView, Methods } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Findings } from "../../ui/finding";
import { useRefusal } from "../../ui/refusal";
import type { Session } from "../../work/session";

type Pose = Methods["bench_pose"]["params"]["pose"];

const POSES: readonly (readonly [Pose, string])[] = [
  ["neutral", "All to 1500 µs"],
  ["middle", "All to the middle"],
  ["rest", "All to rest"],
  ["low", "All to value 0"],
  ["high", "All to full"],
];

export function Poses({ session }: { session: Session }) {
  const told = useSignal<readonly FindingView[]>([]);
  const done = useSignal("");
  const refusal = useRefusal();

  async function go(pose: Pose, words: string): Promise<void> {
    [told.value, done.value] = [[], ""];
    await refusal.attempt(async () => {
      const { values, findings } = await session.engine.ask("bench_pose", { pose });
      session.history.settle();
      session.setValues(words, values);
      [told.value, done.value] = [findings, words];
    });
  }

  return (
    <>
      <p class="quiet">
        Fit horns with every servo at 1500 µs. Value 0 and full are the end points: on the real figure go there one drive at a time, slowly,
        with a hand on the switch of the supply.
      </p>
      <div class="row" role="group" aria-label="Poses for the bench">
        {POSES.map(([pose, words]) => (
          <Button key={pose} words={words} onClick={() => void go(pose, words)} />
        ))}
      </div>
      <div class="stack stack--close" role="status">
        {done.value && <p class="quiet">Set: {done.value.toLowerCase()}.</p>}
        <Findings findings={[...refusal.findings, ...told.value]} />
      </div>
    </>
  );
}
