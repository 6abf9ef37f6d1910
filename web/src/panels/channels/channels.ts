/** Channels: one row a drive, from its value to what its joint does. */

import { cell, type Cell } from "../../ui/cell";
import { findingLine, select, type Told } from "../../ui/controls";
import { h } from "../../ui/dom";
import type { DriveView, JointView, PoseView, PropView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import { held, positionText, stepped, typed, type Unit, written } from "../../ui/units";

interface Row {
  readonly joint: string;
  readonly element: HTMLElement;
  show(pose: PoseView | null): void;
}

export function channelsPanel(session: Session): HTMLElement {
  const unit = cell<Unit>("value");
  const list = h("ul", { class: "channels" });
  const units = select([["value", "value"], ["percent", "percent"], ["16 bit", "16 bit"]], { "aria-label": "Write values as", class: "input input--fit" });
  units.addEventListener("change", () => unit.set(units.value as Unit));
  let rows: Row[] = [];
  const showAll = (): void => rows.forEach((row) => row.show(session.pose.get()));

  session.prop.watch((prop) => {
    if (!prop) return;
    // Rows are kept while the drives stay the same, so that an edit does not take the focus away.
    const focused = document.activeElement?.id;
    rows = prop.drives.map((drive, index) => channelRow(session, prop, drive, index, unit));
    list.replaceChildren(...rows.map((row) => row.element));
    if (focused) document.getElementById(focused)?.focus();
    showAll();
  });
  session.pose.watch(showAll);
  session.chosen.watch((joint) => {
    rows.forEach((row) => row.element.classList.toggle("channel--chosen", joint !== null && row.joint === joint));
    list.querySelector(".channel--chosen")?.scrollIntoView({ block: "nearest" });
  });
  session.history.record.watch(showAll);
  unit.watch(showAll);

  return h(
    "div",
    { class: "stack" },
    h("div", { class: "row row--between" }, h("h2", {}, "Channels"), h("div", { class: "row" }, h("span", { class: "quiet" }, "shown as"), units)),
    h("p", { class: "quiet" }, "Arrow keys step by 1; with Shift, and Page Up and Down, by 10."),
    list,
  );
}

function channelRow(session: Session, prop: PropView, drive: DriveView, index: number, unit: Cell<Unit>): Row {
  const id = `channel-${drive.name}`;
  const joint = prop.joints.find(({ name }) => name === drive.joint);
  const slider = h("input", { type: "range", id, class: "slider", min: 0, max: drive.full_scale, step: 1, "aria-describedby": `${id}-told` });
  const number = h("input", { type: "text", inputmode: "decimal", class: "input input--number", id: `${id}-number`, "aria-label": `${drive.name}, value` });
  const pulse = h("output", { class: "number", for: id });
  const position = h("output", { class: "number", for: id });
  const told = h("div", { id: `${id}-told`, class: "channel__told" });

  let notice: Told | null = null; // what became of the number that was typed last

  const value = (): number => session.history.work().values[drive.name] ?? drive.rest;
  const move = (to: number): void => session.setValue(drive.name, to, `value ${drive.name}`);

  slider.addEventListener("input", () => {
    notice = null;
    move(Number(slider.value));
  });
  slider.addEventListener("change", () => session.history.settle());
  slider.addEventListener("keydown", (event) => {
    const count = steps(event);
    if (count === null) return;
    event.preventDefault();
    move(stepped(value(), count, drive, unit.get()));
  });
  number.addEventListener("keydown", (event) => {
    const count = isSideways(event) ? null : steps(event); // sideways the caret moves
    if (count === null) return;
    event.preventDefault();
    move(stepped(value(), count, drive, unit.get()));
    number.value = written(value(), drive, unit.get());
  });
  number.addEventListener("change", () => {
    const text = number.value; // what is shown changes with the move
    const to = typed(text, drive, unit.get());
    notice = to === null || to !== held(to, drive) ? noticeOf(text, drive, unit.get()) : null;
    if (to !== null) move(held(to, drive));
    number.setAttribute("aria-invalid", String(notice !== null));
    session.history.settle();
    show(session.pose.get());
  });
  number.addEventListener("blur", () => show(session.pose.get()));
  for (const control of [slider, number]) control.addEventListener("focus", () => session.chosen.set(drive.joint));

  function show(pose: PoseView | null): void {
    slider.value = String(value());
    slider.setAttribute("aria-valuetext", `${written(value(), drive, unit.get())} ${unit.get()}`);
    if (document.activeElement !== number) number.value = written(value(), drive, unit.get());
    if (!pose) return;
    const at = prop.joints.findIndex(({ name }) => name === drive.joint);
    pulse.textContent = `${pose.pulses_us[index]?.toFixed(0)} µs`;
    position.textContent = joint ? positionText(pose.joints[at] ?? NaN, joint.unit) : "";
    const own = pose.findings.filter((finding) => finding.drive === drive.name);
    told.replaceChildren(...[...(notice ? [notice] : []), ...own].map((finding) => findingLine(finding, false)));
  }

  const element = h(
    "li",
    { class: "channel", "data-drive": drive.name },
    h(
      "div",
      { class: "channel__head" },
      h("label", { for: id, class: "channel__name" }, drive.name),
      h("span", { class: "quiet number", title: "universe / address" }, `${drive.universe} / ${addressText(drive)}`),
    ),
    h("div", { class: "track" }, slider, joint ? blocked(drive) : null),
    number,
    h(
      "div",
      { class: "channel__reads" },
      end(drive, 0, joint),
      h("span", { class: "channel__now" }, pulse, ` ${drive.joint === drive.name ? "" : `${drive.joint} `}`, position),
      end(drive, 1, joint),
    ),
    told,
  );
  return { joint: drive.joint, element, show };
}

/** What to tell about a number that cannot stand as it was typed. */
function noticeOf(text: string, drive: DriveView, unit: Unit): Told {
  const [least, most] = [written(0, drive, unit), written(drive.full_scale, drive, unit)];
  const to = typed(text, drive, unit);
  const message =
    to === null
      ? `“${text}” is no number; write one from ${least} to ${most}.`
      : `${text} is beyond ${least} to ${most}: held at ${written(held(to, drive), drive, unit)}.`;
  return { level: "warning", text: `${drive.name}: ${message}`, alone: message };
}

function addressText(drive: DriveView): string {
  return drive.bits === 16 ? `${drive.address}+${drive.address + 1}` : `${drive.address}`;
}

function steps(event: KeyboardEvent): number | null {
  const big = event.shiftKey ? 10 : 1;
  const made: Record<string, number> = { ArrowUp: big, ArrowRight: big, ArrowDown: -big, ArrowLeft: -big, PageUp: 10, PageDown: -10 };
  return made[event.key] ?? null;
}

function isSideways(event: KeyboardEvent): boolean {
  return event.key === "ArrowLeft" || event.key === "ArrowRight";
}

/** The end point at one end of the slider: its pulse, and where it takes the joint. */
function end(drive: DriveView, which: 0 | 1, joint: JointView | undefined): HTMLElement {
  const pulse = which === 0 ? drive.pulse_low : drive.pulse_high;
  return h("span", { class: "quiet number", title: "end point" }, `${pulse} µs`, h("br"), joint ? positionText(drive.ends[which], joint.unit) : "");
}

/** A hatch over the values that push against a hard stop. */
function blocked(drive: DriveView): HTMLElement {
  const before = drive.free[0] / drive.full_scale;
  const after = 1 - drive.free[1] / drive.full_scale;
  const spans = ([["start", before], ["end", after]] as const).filter(([, part]) => part > 0);
  return h("div", { class: "marks", "aria-hidden": "true" }, ...spans.map(([side, part]) => hatch(side, part)));
}

function hatch(side: "start" | "end", part: number): HTMLElement {
  const span = h("span", { class: `marks__blocked marks__blocked--${side}`, title: "past a hard stop" });
  span.style.inlineSize = `${part * 100}%`;
  return span;
}
