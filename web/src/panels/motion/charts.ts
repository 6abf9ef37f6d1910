/** Commanded and real curves of one drive, drawn over the part of the show that is looked at, and written as a table. */

import { field, fold, select } from "../../ui/controls";
import { h, s } from "../../ui/dom";
import type { Curves, Part } from "./curves";
import { clock, short, SPEED } from "../../ui/numbers";
import type { Player } from "./player";
import type { Rehearsal } from "./rehearsal";
import type { Session } from "../../work/session";
import { type Line, placeOf, plot, timeAt } from "./plot";
import { table } from "../../ui/table";

const LENGTHS: readonly (readonly [string, string])[] = [["", "whole show"], ["5", "5 s"], ["10", "10 s"], ["30", "30 s"], ["60", "1 min"], ["300", "5 min"]];
const SHORT_SHOW = 90; // s; a longer one begins with a part of it
const ROWS = 21; // of the table

export interface Charts {
  readonly controls: HTMLElement;
  readonly element: HTMLElement;
  /** The same curves in words. */
  readonly sheet: HTMLElement;
  /** The drawing as an SVG file. */
  file(): string;
}

export function charts(session: Session, rehearsal: Rehearsal, player: Player, curves: Curves): Charts {
  const drive = select([], {});
  const length = select(LENGTHS, { "aria-label": "Part of the show that is drawn" });
  const drawing = s("svg", { class: "charts__drawing", role: "img" });
  const head = s("line", { class: "charts__head" });
  const now = legend();
  const sheet = fold("Curves as a table", false);
  const holder = h("div", { class: "charts__holder" }, drawing);
  let size = { width: 640, height: 200 };

  const column = (): number => Math.max(session.prop.get()?.drives.findIndex(({ name }) => name === drive.value) ?? 0, 0);

  function fill(): void {
    const before = drive.value;
    const names = session.prop.get()?.drives.map(({ name }) => name) ?? [];
    drive.replaceChildren(...names.map((name) => h("option", { value: name }, name)));
    drive.value = names.includes(before) ? before : (names[0] ?? "");
    draw();
  }

  function draw(): void {
    const part = curves.part.get();
    drawing.replaceChildren();
    if (!part) return;
    const { width, height } = size;
    drawing.setAttribute("viewBox", `0 0 ${width} ${height}`);
    drawing.setAttribute("aria-label", `Position and speed of ${drive.value} from ${clock(part.begin)} to ${clock(part.end)}, commanded and real. The table “Curves as a table” tells the same.`);
    const upper = Math.round(height * 0.52);
    const frame = { width, begin: part.begin, end: part.end };
    const [real, commanded, speed] = [own(part, "position"), own(part, "commanded"), own(part, "velocity")];
    const position = plot({ ...frame, height: upper, title: "position at the shaft", unit: "°", clock: false }, [
      { kind: "commanded", times: part.curves.times.data, values: commanded },
      { kind: "real", times: part.curves.times.data, values: real },
    ]);
    const velocity = plot({ ...frame, height: height - upper, title: "speed", unit: SPEED, clock: true }, [
      ...limitLines(part, speed),
      { kind: "real", times: part.curves.times.data, values: speed },
    ]);
    velocity.setAttribute("transform", `translate(0 ${upper})`);
    head.setAttribute("y2", String(height - 18));
    drawing.append(position, velocity, head);
    if (sheet.open) write();
    follow();
  }

  function own(part: Part, which: "commanded" | "position" | "velocity"): Float32Array {
    const { data, shape } = part.curves[which];
    const drives = shape[1] ?? 1;
    const at = column();
    return Float32Array.from({ length: shape[0] ?? 0 }, (_, row) => data[row * drives + at] ?? 0);
  }

  /** The limit of speed, where the drive comes near it. */
  function limitLines(part: Part, speed: Float32Array): Line[] {
    const limit = rehearsal.show.get()?.limits[drive.value]?.speed ?? null;
    const most = speed.reduce((top, each) => Math.max(top, Math.abs(each)), 0);
    if (limit === null || most < limit * 0.8) return [];
    const signs = [1, -1].filter((sign) => speed.some((each) => each * sign > limit * 0.8));
    return signs.map((sign) => ({ kind: "limit", times: [part.begin, part.end], values: [sign * limit, sign * limit] }));
  }

  function write(): void {
    const part = curves.part.get();
    if (!part) return;
    const [real, commanded, speed] = [own(part, "position"), own(part, "commanded"), own(part, "velocity")];
    const times = part.curves.times.data;
    const rows = Array.from({ length: ROWS }, (_, row) => {
      const at = Math.round((row / (ROWS - 1)) * (times.length - 1));
      return [clock(times[at] ?? 0), short(commanded[at] ?? 0), short(real[at] ?? 0), short(speed[at] ?? 0)];
    });
    sheet.lastElementChild?.replaceChildren(
      table(`${drive.value}: commanded and real`, ["time", "commanded °", "real °", SPEED], rows),
    );
  }

  /** The line of now, and what the curves say there. */
  function follow(): void {
    const part = curves.part.get();
    if (!part) return;
    const time = player.time.get();
    const x = placeOf(Math.min(Math.max(time, part.begin), part.end), { width: size.width, begin: part.begin, end: part.end });
    head.setAttribute("x1", x.toFixed(1));
    head.setAttribute("x2", x.toFixed(1));
    const count = part.curves.times.data.length;
    const row = Math.min(Math.max(Math.round(((time - part.begin) / Math.max(part.end - part.begin, 1e-9)) * (count - 1)), 0), count - 1);
    const drives = part.curves.position.shape[1] ?? 1;
    const value = (which: "commanded" | "position" | "velocity"): string => short(part.curves[which].data[row * drives + column()] ?? 0);
    now.show(`${value("commanded")}°`, `${value("position")}°`, `${value("velocity")} ${SPEED}`);
  }

  let dragging = false;
  function seek(event: PointerEvent): void {
    const part = curves.part.get();
    if (part) player.seek(timeAt(event.offsetX, { width: size.width, begin: part.begin, end: part.end }));
  }
  holder.addEventListener("pointerdown", (event) => {
    dragging = true;
    holder.setPointerCapture(event.pointerId);
    seek(event);
  });
  holder.addEventListener("pointermove", (event) => dragging && seek(event));
  holder.addEventListener("pointerup", () => (dragging = false));

  new ResizeObserver(([entry]) => {
    const box = entry?.contentRect;
    if (!box || box.width < 100 || (box.width === size.width && box.height === size.height)) return;
    size = { width: box.width, height: box.height };
    draw();
  }).observe(holder);

  session.prop.watch(fill);
  session.chosen.watch((joint) => {
    const chosen = session.prop.get()?.drives.find((each) => each.joint === joint);
    if (!chosen || chosen.name === drive.value) return;
    drive.value = chosen.name;
    draw();
  });
  drive.addEventListener("change", () => {
    session.chosen.set(session.prop.get()?.drives[column()]?.joint ?? null);
    draw();
  });
  length.addEventListener("change", () => curves.length.set(length.value === "" ? null : Number(length.value)));
  let shown = "";
  rehearsal.show.watch((show) => {
    if (!show || show.file === shown) return;
    shown = show.file;
    length.value = show.end - show.begin > SHORT_SHOW ? "30" : "";
    length.options[0]?.toggleAttribute("disabled", show.end - show.begin > 1200);
    curves.length.set(length.value === "" ? null : Number(length.value));
  });
  curves.part.watch(draw);
  player.time.watch(follow);
  sheet.addEventListener("toggle", () => sheet.open && write());

  return {
    controls: h("div", { class: "row charts__controls" }, field("Curves of", drive), length, now.element),
    element: holder,
    sheet,
    file: () => written(drawing),
  };
}

/** What each kind of line is, with what it says where the play is. */
function legend(): { element: HTMLElement; show(commanded: string, real: string, speed: string): void } {
  const [sent, is, runs] = [h("output", { class: "number" }), h("output", { class: "number" }), h("output", { class: "number" })];
  const entry = (kind: Line["kind"], words: string, ...read: HTMLElement[]): HTMLElement =>
    h("span", { class: "charts__entry" }, sample(kind), words, ...read);
  return {
    element: h("p", { class: "charts__legend quiet" }, entry("commanded", "commanded", sent), entry("real", "real", is, runs), entry("limit", "limit")),
    show(commanded, real, speed) {
      [sent.textContent, is.textContent, runs.textContent] = [commanded, real, speed];
    },
  };
}

function sample(kind: Line["kind"]): SVGSVGElement {
  return s("svg", { class: "charts__sample", viewBox: "0 0 30 10", "aria-hidden": "true" }, s("path", { class: `plot__line plot__line--${kind}`, d: "M1 5H29" }));
}

const KEPT_STYLES = ["stroke", "stroke-width", "stroke-dasharray", "fill", "font-size", "font-family"] as const;

/** A drawing with the styles it has on the page, to stand alone. */
function written(drawing: SVGSVGElement): string {
  const copy = drawing.cloneNode(true) as SVGSVGElement;
  const [from, to] = [drawing.querySelectorAll("*"), copy.querySelectorAll("*")];
  from.forEach((part, index) => {
    const style = getComputedStyle(part);
    for (const name of KEPT_STYLES) to[index]?.setAttribute(name, style.getPropertyValue(name));
  });
  copy.setAttribute("xmlns", "http://www.w3.org/2000/svg");
  return new XMLSerializer().serializeToString(copy);
}
