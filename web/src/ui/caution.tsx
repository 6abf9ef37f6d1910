/** The usual caution. Once read it stays folded to its first words, here and at the next visit. */

import { signal } from "@preact/signals";
import { Button } from "./button";
import { remembered, remember } from "./remembered";

const KEY = "posekit-caution-read";
const read = signal(remembered(KEY) === "yes");
const open = signal(!read.value);

function done(): void {
  [read.value, open.value] = [true, false];
  remember(KEY, "yes");
}

export function Caution() {
  return (
    <details class="caution" open={open.value} onToggle={(event) => (open.value = event.currentTarget.open)}>
      <summary>Caution: moving parts pinch</summary>
      <div class="caution__body">
        <p>
          Keep hands, hair and loose clothing out of the prop. Disconnect the supply before you reach in. Try new end points slowly: a servo
          held against a stop draws its stall current and overheats. Follow your local codes; leave mains wiring and lifting gear to licensed
          people.
        </p>
        {!read.value && <Button words="Got it" onClick={done} />}
      </div>
    </details>
  );
}
