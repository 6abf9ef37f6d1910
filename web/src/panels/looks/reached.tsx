/** What a part that was pulled, or a search, came to: below the figure, where the hand is. */

import { Findings } from "../../ui/finding";
import type { Reach } from "./reach";

export function ReachedNote({ reach }: { reach: Reach }) {
  const reached = reach.reached.value;
  return (
    <div class="reached" role="status">
      {reached?.kind === "still" && <p>{reached.link} does not move.</p>}
      {reached?.kind === "found" && (
        <>
          <p>
            <strong>{reached.off}</strong> off the target, moving {reached.by}.
            {reached.found.limits.length > 0 && ` Limited by ${reached.found.limits.join(", ")}.`}
          </p>
          <p class="number">{reached.moved.map((name) => `${name} ${reached.found.values[name]}`).join(" · ")}</p>
          <Findings findings={reached.found.findings} />
        </>
      )}
    </div>
  );
}
