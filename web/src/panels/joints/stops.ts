/** What became of the stops of a joint that is of another type from now on. */

import type { PropView } from "../../engine/protocol";
import { apart } from "../../ui/apart";
import { say } from "../../ui/toasts";

/** Say that the stops of a joint were taken out, where Python did so; one that is fixed is not among those that move. */
export function sayStops(joint: string, before: PropView | null, now: PropView | null): void {
  const [was, is] = [before, now].map((prop) => prop?.joints.find(({ name }) => name === joint));
  if (!was?.stops || !now || is?.stops) return;
  const unit = was.unit === "deg" ? "degrees" : "mm";
  const why = is ? `were in ${unit} and are taken out: set new ones.` : "are taken out: a joint that is fixed has none.";
  say(`The stops of ${apart(joint)} ${why}`);
}
