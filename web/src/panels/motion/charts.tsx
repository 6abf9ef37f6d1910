/** Commanded and real curves of one drive below the figure, to zoom, pan and read. */

import { useSignal, useSignalEffect } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Bench } from "../../bench";
import { Button } from "../../ui/button";
import { Field, type Option, Select } from "../../ui/field";
import { clock, short, SPEED } from "../../ui/numbers";
import { complainUnasked } from "../../ui/toasts";
import type { Chart } from "./chart";
import { keyed, zoomed } from "./chart-hands";
import { columnOf } from "./curves";

const LENGTHS: readonly Option[] = [["", "as zoomed"], ["whole", "whole show"], ["5", "5 s"], ["10", "10 s"], ["30", "30 s"], ["60", "1 min"], ["300", "5 min"], ["3600", "1 h"]];
const NOWHERE = { begin: 0, end: 1 };

export function Charts({ bench: { session, player, curves } }: { bench: Bench }) {
  const holder = useRef<HTMLDivElement>(null);
  const chart = useSignal<Chart | null>(null);
  const row = useSignal<number | null>(null); // that the cursor is at

  const column = (): number => Math.max(session.prop.value?.drives.findIndex(({ name }) => name === curves.drive.value) ?? 0, 0);
  const view = () => curves.view.peek() ?? NOWHERE;
  const whole = () => curves.whole() ?? NOWHERE;

  useEffect(() => {
    let gone = false;
    import("./chart")
      .then(({ createChart }) => {
        if (gone || !holder.current) return;
        const made = createChart(holder.current, { view, whole, look: curves.look, seek: player.seek, read: (at) => (row.value = at) });
        chart.value = made;
        curves.picture.value = made.picture;
      })
      .catch(complainUnasked);
    return () => {
      gone = true;
      chart.peek()?.remove();
      curves.picture.value = null;
    };
  }, []);

  useSignalEffect(() => {
    const part = curves.part.value;
    if (!part || !chart.value) return;
    const at = column();
    chart.value.draw({
      times: part.curves.times.data,
      commanded: columnOf(part.curves.commanded, at),
      real: columnOf(part.curves.position, at),
      speed: columnOf(part.curves.velocity, at),
      limits: part.curves.limits[at] ?? [],
    });
  });
  useSignalEffect(() => {
    if (curves.view.value) chart.value?.look(curves.view.value);
  });
  useSignalEffect(() => chart.value?.head(player.time.value));

  function pick(length: string): void {
    if (length === "whole") curves.look(whole());
    else if (length) curves.look({ begin: player.time.peek(), end: player.time.peek() + Number(length) });
  }

  const seen = curves.view.value;
  const drive = curves.drive.value;
  return (
    <>
      <div class="row charts__controls">
        <Field label="Curves of">
          {(named) => (
            <Select
              {...named}
              options={session.prop.value?.drives.map(({ name }) => [name, name] as const) ?? []}
              value={drive}
              pick={(name) => {
                curves.drive.value = name;
                session.chosen.value = session.prop.peek()?.drives.find((each) => each.name === name)?.joint ?? null;
              }}
            />
          )}
        </Field>
        <Select options={LENGTHS} value={lengthOf(seen, whole())} pick={pick} aria-label="Part of the show that is drawn" />
        <span class="choice" role="group" aria-label="Zoom">
          <Button icon="less" name="Zoom out: more of the show" onClick={() => curves.look(zoomed(view(), 2))} />
          <Button icon="add" name="Zoom in: less of the show" onClick={() => curves.look(zoomed(view(), 0.5))} />
        </span>
        <Legend bench={{ player, curves }} row={row.value} column={column()} />
      </div>
      <div
        ref={holder}
        class="charts__holder"
        role="group"
        tabIndex={0}
        aria-label={seen ? `Position and speed of ${drive} from ${clock(seen.begin)} to ${clock(seen.end)}, commanded and real. Arrow keys pan, plus and minus zoom, Home shows all. The table “Curves as a table” tells the same.` : "Curves"}
        onKeyDown={(event) => {
          const to = keyed(event.key, view(), whole());
          if (!to) return;
          event.preventDefault();
          curves.look(to);
        }}
      />
    </>
  );
}

function lengthOf(seen: { begin: number; end: number } | null, whole: { begin: number; end: number }): string {
  if (!seen) return "";
  if (seen.begin === whole.begin && seen.end === whole.end) return "whole";
  const length = String(Number((seen.end - seen.begin).toFixed(3)));
  return LENGTHS.some(([value]) => value === length) ? length : "";
}

/** What each kind of line is, with what it says where the cursor is, or where the play is. */
function Legend({ bench: { player, curves }, row, column }: { bench: Pick<Bench, "player" | "curves">; row: number | null; column: number }) {
  const part = curves.part.value;
  const time = player.time.value;
  const times = part?.curves.times.data;
  const at = row ?? (part && times ? rowAt(times, time) : null);
  const drives = part?.curves.position.shape[1] ?? 1;
  const value = (which: "commanded" | "position" | "velocity", unit: string): string =>
    part && at !== null ? `${short(part.curves[which].data[at * drives + column] ?? 0)}${unit}` : "";
  return (
    <p class="charts__legend quiet">
      <output class="number">{row !== null && times ? `at ${clock(times[row] ?? 0)}` : "now"}</output>
      <span class="charts__entry">
        <Sample kind="commanded" />
        commanded <output class="number">{value("commanded", "°")}</output>
      </span>
      <span class="charts__entry">
        <Sample kind="real" />
        real <output class="number">{value("position", "°")}</output> <output class="number">{value("velocity", ` ${SPEED}`)}</output>
      </span>
      <span class="charts__entry">
        <Sample kind="limit" />
        limit
      </span>
    </p>
  );
}

/** The row nearest to a time; the times are evenly spaced. */
function rowAt(times: Float32Array, time: number): number {
  const [first = 0, last = 0] = [times[0], times.at(-1)];
  const share = (time - first) / Math.max(last - first, 1e-9);
  return Math.min(Math.max(Math.round(share * (times.length - 1)), 0), times.length - 1);
}

function Sample({ kind }: { kind: "commanded" | "real" | "limit" }) {
  return (
    <svg class="charts__sample" viewBox="0 0 30 10" aria-hidden="true">
      <path class={`charts__line charts__line--${kind}`} d="M1 5H29" />
    </svg>
  );
}
