/** The curves that are drawn, as a table for those who cannot see them. */

import { clock, short, SPEED } from "../../ui/numbers";
import { Table } from "../../ui/table";
import type { Session } from "../../work/session";
import { columnOf, type Curves } from "./curves";

const ROWS = 21;

export function CurveTable({ session, curves }: { session: Session; curves: Curves }) {
  const [part, view, drive] = [curves.part.value, curves.view.value, curves.drive.value];
  const column = session.prop.value?.drives.findIndex(({ name }) => name === drive) ?? -1;
  if (!part || !view || column < 0) return <p class="quiet">The curves are on their way.</p>;
  const times = part.curves.times.data;
  const seen = Array.from(times.keys()).filter((row) => (times[row] ?? 0) >= view.begin && (times[row] ?? 0) <= view.end);
  const [commanded, real, speed] = (["commanded", "position", "velocity"] as const).map((which) => columnOf(part.curves[which], column));
  const rows = Array.from({ length: Math.min(ROWS, seen.length) }, (_, index) => {
    const at = seen[Math.round((index / (Math.min(ROWS, seen.length) - 1 || 1)) * (seen.length - 1))] ?? 0;
    return [clock(times[at] ?? 0), short(commanded?.[at] ?? 0), short(real?.[at] ?? 0), short(speed?.[at] ?? 0)];
  });
  return <Table caption={`${drive}: commanded and real`} heads={["time", "commanded °", "real °", SPEED]} rows={rows} />;
}
