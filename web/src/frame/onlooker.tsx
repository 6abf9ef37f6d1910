/** The bar that says so where another tab edits this work, with the ways out of it. */

import { useSignal, useSignalEffect } from "@preact/signals";
import { useRef } from "preact/hooks";
import { byId } from "../ui/browser";
import { Button } from "../ui/button";
import type { Place } from "../work/benches";

// What would change the work is put out of reach here; what only looks at it stays.
const HANDS = ["panels", "dock"];
// A tab that can answer does so at once, or once its work is written. One stands still while it shows what is to be printed, for one.
const SILENT_MS = 5000;

const LOOKING = "This work is open in another tab. Here you can look at it.";
const ASKING = "Asking the other tab to let go…";
const SILENT = "The other tab has not answered yet. See whether a print preview or a question is open there. If it stands still, close it.";

/** `copy` puts this tab at a bench of its own with the same work on it. */
export function Onlooker({ place, copy }: { place: Place; copy: () => void }) {
  const told = useSignal(LOOKING);
  const patience = useRef<ReturnType<typeof setTimeout> | undefined>(undefined); // of the last press
  useSignalEffect(() => {
    const mine = place.mine.value;
    if (mine) told.value = LOOKING;
    document.documentElement.dataset["edits"] = mine ? "here" : "elsewhere";
    for (const id of HANDS) byId(id).inert = !mine;
  });
  if (place.mine.value) return null;
  return (
    <div class="onlooker" role="status">
      <span>{told.value}</span>
      <Button
        words="Edit here"
        kind="main"
        onClick={() => {
          told.value = ASKING;
          place.takeOver();
          clearTimeout(patience.current);
          patience.current = setTimeout(() => told.value === ASKING && (told.value = SILENT), SILENT_MS);
        }}
      />
      <Button words="Work on a copy" onClick={copy} />
    </div>
  );
}
