/** What becomes of the stops of a joint that slides from now on where it turned, or the other way round. */

import type { PlacedJoint } from "../../engine/protocol";
import { apart } from "../../ui/apart";
import { say } from "../../ui/toasts";

/** Say that the stops were taken out, where they were and another unit is meant now. */
export function sayStops(of: PlacedJoint, type: PlacedJoint["type"]): void {
  if (!of.stops || of.type === "fixed" || type !== (of.type === "revolute" ? "prismatic" : "revolute")) return;
  say(`The stops of ${apart(of.name)} were in ${of.type === "revolute" ? "degrees" : "mm"} and are taken out: set new ones.`);
}
