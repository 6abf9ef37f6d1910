/** The bar that says so where another tab edits this work, with the ways out of it. */

import { useSignal, useSignalEffect } from "@preact/signals";
import { byId } from "../ui/browser";
import { Button } from "../ui/button";
import type { Place } from "../work/benches";

// What would change the work is put out of reach here; what only looks at it stays.
const HANDS = ["panels", "dock"];

/** `copy` puts this tab at a bench of its own with the same work on it. */
export function Onlooker({ place, copy }: { place: Place; copy: () => void }) {
  const asking = useSignal(false);
  useSignalEffect(() => {
    const mine = place.mine.value;
    if (mine) asking.value = false;
    document.documentElement.dataset["edits"] = mine ? "here" : "elsewhere";
    for (const id of HANDS) byId(id).inert = !mine;
  });
  if (place.mine.value) return null;
  return (
    <div class="onlooker" role="status">
      <span>{asking.value ? "Asking the other tab to let go…" : "This work is open in another tab. Here you can look at it."}</span>
      <Button
        words="Edit here"
        kind="main"
        onClick={() => {
          asking.value = true;
          place.takeOver();
        }}
      />
      <Button words="Work on a copy" onClick={copy} />
    </div>
  );
}
