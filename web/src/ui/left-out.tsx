/** What is not checked, or only in part, each with its reason: nothing is said about it. */

import type { LeftOutView } from "../engine/protocol";

export function LeftOut({ rows }: { rows: readonly LeftOutView[] }) {
  return (
    <ul class="left-out">
      {rows.map(({ parts, why }) => (
        <li key={`${parts}|${why}`}>
          <strong>{parts.replace(" - ", " – ")}</strong> {why}
        </li>
      ))}
    </ul>
  );
}
