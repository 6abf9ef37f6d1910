/** What became of the stops of a joint that slides from now on where it turned, or the other way round. */

import type { PropView } from "../../engine/protocol";
import { apart } from "../../ui/apart";
import { say } from "../../ui/toasts";

/** Say that the stops of a joint were taken out, where Python did so: another unit is meant now. */
export function sayStops(joint: string, before: PropView | null, now: PropView | null): void {
  const [was, is] = [before, now].map((prop) => prop?.joints.find(({ name }) => name === joint));
  if (!was?.stops || !is || is.stops) return;
  say(`The stops of ${apart(joint)} were in ${was.unit === "deg" ? "degrees" : "mm"} and are taken out: set new ones.`);
}
