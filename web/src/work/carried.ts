/** Values that stay with their drives through a change: a drive that is renamed takes its value along. */

import type { DriveView } from "../engine/protocol";
import type { Values } from "./history";

type Named = Pick<DriveView, "name">;

/** What went with a drive that was taken out is no value any more; undo brings both back. */
export function carried(values: Values, before: readonly Named[], after: readonly Named[]): Values {
  const there = new Set(after.map(({ name }) => name));
  const gone = before.filter(({ name }) => !there.has(name));
  if (gone.length === 0) return values;
  const renamed = gone.length === 1 && before.length === after.length ? gone[0]?.name : undefined;
  const kept: Record<string, number> = {};
  for (const [name, value] of Object.entries(values)) {
    if (there.has(name) || !gone.some((each) => each.name === name)) kept[name] = value;
    else if (name === renamed) {
      const now = after[before.findIndex((each) => each.name === name)];
      if (now) kept[now.name] = value;
    }
  }
  return kept;
}
