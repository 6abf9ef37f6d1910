/** Findings: all there is to tell about the prop and its pose, worst first. */

import { useSignalEffect } from "@preact/signals";
import type { Bench } from "../../bench";
import { Findings } from "../../ui/finding";

export function FindingsPanel({ bench: { session, check, panel } }: { bench: Bench }) {
  useSignalEffect(() => {
    check.wanted.value = panel.value === "findings";
  });
  const [pose, prop, near, whole] = [check.pose.value, check.prop.value, check.near.value, check.whole.value];
  return (
    <div class="stack">
      <h2>Findings</h2>
      <h3>This pose</h3>
      <Findings findings={pose} />
      {near ? pose.length === 0 && <p class="quiet">Nothing found in this pose.</p> : <p class="quiet">Whether parts strike in it is not checked yet.</p>}
      <h3>The prop</h3>
      <Findings findings={prop} />
      {[...pose, ...prop].some(({ code }) => code === "transmission-angle") && (
        <p class="quiet">Transmission angle: the angle at which a rod pushes its arm. At 90° all of its force turns the arm.</p>
      )}
      {whole && prop.length === 0 && <p class="quiet">Nothing found in the prop.</p>}
      <p class="quiet" role="status">{session.prop.value && !whole && "Checking the shapes of the parts…"}</p>
    </div>
  );
}
