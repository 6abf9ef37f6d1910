/** One plot: lines over time, with a scale at the left and times below. It draws numbers; it makes none. */

import { s } from "../../ui/dom";
import { clock, round } from "../../ui/numbers";

export interface Line {
  readonly kind: "real" | "commanded" | "limit";
  readonly times: ArrayLike<number>;
  readonly values: ArrayLike<number>;
}

export interface Frame {
  readonly width: number;
  readonly height: number;
  readonly begin: number;
  readonly end: number;
  readonly unit: string;
  readonly title: string;
  /** Times are written below. */
  readonly clock: boolean;
}

const LEFT = 48;
const [TOP, RIGHT, BELOW, HEAD] = [6, 22, 18, 14];

/** The lines of one quantity in a frame, as a group to be put anywhere in a drawing. */
export function plot(frame: Frame, lines: readonly Line[]): SVGGElement {
  const [low, high] = range(lines);
  const bottom = frame.height - (frame.clock ? BELOW : TOP);
  const top = TOP + HEAD;
  const y = (value: number): number => bottom - ((value - low) / (high - low)) * (bottom - top);
  const x = (time: number): number => placeOf(time, frame);
  const marks = steps(low, high, Math.max(3, Math.floor((bottom - top) / 24)));
  const times = steps(frame.begin, frame.end, Math.max(2, Math.floor(frame.width / 110)));
  return s(
    "g",
    { class: "plot" },
    ...marks.flatMap((mark) => [
      s("line", { class: "plot__grid", x1: LEFT, x2: frame.width - RIGHT, y1: y(mark), y2: y(mark) }),
      s("text", { class: "plot__text", x: LEFT - 6, y: y(mark) + 4, "text-anchor": "end" }, round(mark)),
    ]),
    ...times.flatMap((time) => [
      s("line", { class: "plot__grid", x1: x(time), x2: x(time), y1: top, y2: bottom }),
      frame.clock ? s("text", { class: "plot__text", x: x(time), y: frame.height - 4, "text-anchor": "middle" }, short(time, frame.end - frame.begin)) : null,
    ]),
    s("text", { class: "plot__title", x: LEFT, y: HEAD }, `${frame.title}, ${frame.unit}`),
    ...lines.map((line) => s("path", { class: `plot__line plot__line--${line.kind}`, d: path(line, x, y) })),
  );
}

/** A time without the hundredths where they are all noughts. */
function short(time: number, span: number): string {
  return span > 4 ? clock(time).slice(0, -3) : clock(time);
}

/** Where a time stands in a frame, in px. */
export function placeOf(time: number, { begin, end, width }: Pick<Frame, "begin" | "end" | "width">): number {
  return LEFT + ((time - begin) / Math.max(end - begin, 1e-9)) * (width - LEFT - RIGHT);
}

/** The time at a place of a frame. */
export function timeAt(px: number, { begin, end, width }: Pick<Frame, "begin" | "end" | "width">): number {
  return begin + ((px - LEFT) / (width - LEFT - RIGHT)) * (end - begin);
}

function path({ kind, times, values }: Line, x: (time: number) => number, y: (value: number) => number): string {
  // What is sent stands until the next: steps, not slopes.
  const to = (index: number): string => `${x(times[index] ?? 0).toFixed(1)} ${y(values[index] ?? 0).toFixed(1)}`;
  const parts = [`M${to(0)}`];
  for (let index = 1; index < values.length; index += 1) {
    if (kind === "commanded" && values[index] !== values[index - 1]) parts.push(`H${x(times[index] ?? 0).toFixed(1)}`);
    parts.push(`L${to(index)}`);
  }
  return parts.join("");
}

function range(lines: readonly Line[]): [number, number] {
  let [low, high] = [Infinity, -Infinity];
  for (const { values } of lines) {
    for (let index = 0; index < values.length; index += 1) {
      low = Math.min(low, values[index] ?? low);
      high = Math.max(high, values[index] ?? high);
    }
  }
  if (!Number.isFinite(low)) return [-1, 1];
  const room = Math.max((high - low) * 0.06, 0.5);
  return [low - room, high + room];
}

/** Round numbers between two. */
function steps(low: number, high: number, most: number): number[] {
  const rough = (high - low) / most;
  const unit = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((each) => each * unit).find((each) => each >= rough) ?? unit;
  const first = Math.ceil(low / step);
  const count = Math.floor(high / step) - first + 1;
  return Array.from({ length: Math.max(count, 0) }, (_, index) => (first + index) * step);
}
