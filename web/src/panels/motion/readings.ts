/** What was read from the motion, in tables; two settings side by side. */

import { button, findingLine, fold } from "../../ui/controls";
import { h } from "../../ui/dom";
import { ACCELERATION, clock, limitText, short, SPEED } from "../../ui/numbers";
import type { Rehearsal } from "./rehearsal";
import type { DriveReadingView, ReadingsView, StepView } from "../../engine/protocol";
import { table } from "../../ui/table";

export function readingsTables(rehearsal: Rehearsal): HTMLElement {
  const whole = h("div", { class: "stack" });
  const ask = h("div", { class: "stack" });
  let held: ReadingsView | null = null; // the setting that others are compared with

  let file = "";

  rehearsal.show.watch((show) => {
    if (show?.file === file) return; // the same under other limits: what was read stays until the new is here
    file = show?.file ?? "";
    held = null;
    whole.replaceChildren();
  });
  rehearsal.readings.watch((now) => {
    ask.replaceChildren(...(now || !rehearsal.show.get() ? [] : [unread()]));
    if (!now) return;
    const worth = now.findings.map((finding) => findingLine(finding));
    whole.replaceChildren(
      ...(worth.length > 0 ? worth : [h("p", { class: "quiet" }, "Every drive keeps up. Slow moves, where they stop between values, do so in steps too small to be seen from 2 m.")]),
      fold("How each drive follows", true, drives(now)),
      fold("Two settings side by side", held !== null, comparison(now)),
      fold("Largest speed of joints and of part tips", false, speeds(now)),
      fold("What one value moves", false, steps(now)),
    );
  });

  function unread(): HTMLElement {
    return h(
      "div",
      { class: "stack" },
      h("p", { class: "quiet" }, "Not read yet. A long show takes a while to read, and play waits for it."),
      h("div", { class: "row" }, button({ words: "Read this show" }, () => void rehearsal.read())),
    );
  }

  function comparison(now: ReadingsView): HTMLElement {
    const keep = button({ words: held ? "Compare with this setting instead" : "Keep this setting to compare with" }, () => {
      held = now;
      whole.querySelectorAll("details")[1]?.replaceWith(fold("Two settings side by side", true, comparison(now)));
    });
    return h("div", { class: "stack" }, h("p", { class: "quiet" }, "Keep the limits as they are now, then change some: both are told over the same show."), h("div", { class: "row" }, keep), held ? versus(held, now) : null);
  }

  return h("div", { class: "stack" }, ask, whole);
}

function drives(now: ReadingsView): HTMLElement {
  const heads = ["drive", "arrives", "late s", "at", "short °", `top ${SPEED}`, `top ${ACCELERATION}`, "at speed limit s", "at acceleration limit s"];
  return table("How each drive follows", heads, now.drives.map((reading) => [
    reading.drive,
    arrival(reading),
    short(reading.lag_s),
    clock(reading.lag_at),
    short(reading.short_deg),
    short(reading.top_speed),
    reading.top_acceleration === null ? "jumps" : short(reading.top_acceleration),
    short(reading.at_speed),
    short(reading.at_acceleration),
  ]));
}

function arrival({ arrives, missed, stops }: DriveReadingView): string {
  return stops === 0 ? "no stop" : arrives ? "yes" : `no: ${missed} of ${stops} missed`;
}

function versus(before: ReadingsView, now: ReadingsView): HTMLElement {
  const heads = ["drive", `${SPEED} kept`, "now", `${ACCELERATION} kept`, "now", "late s kept", "now", "missed kept", "now"];
  const rows = now.drives.map((reading) => {
    const old = before.drives.find(({ drive }) => drive === reading.drive);
    const [was, is] = [before.limits[reading.drive], now.limits[reading.drive]];
    return [
      reading.drive,
      limitText(was?.speed ?? null, ""),
      limitText(is?.speed ?? null, ""),
      limitText(was?.acceleration ?? null, ""),
      limitText(is?.acceleration ?? null, ""),
      old ? short(old.lag_s) : "",
      short(reading.lag_s),
      old ? old.missed : "",
      reading.missed,
    ];
  });
  return table("Two settings side by side", heads, rows);
}

function speeds(now: ReadingsView): HTMLElement {
  const rows = [...now.joints, ...now.parts].map(({ name, speed, unit, at }) => [name, `${short(speed)} ${unit.replace("deg", "°")}`, clock(at)]);
  return table("Largest speed of joints and of part tips", ["joint or part", "speed", "at"], rows);
}

function steps(now: ReadingsView): HTMLElement {
  const size = (step: StepView): string => `${short(step.joint)} ${step.unit.replace("deg", "°")}, ${short(step.tip_mm)} mm`;
  return h(
    "div",
    { class: "stack" },
    h("p", { class: "quiet" }, "The largest move of one step: at the joint, and at the point that it moves farthest. “Seen now” is the step of the drive's own resolution, or the deadband of its servo where that is larger."),
    table(
      "What one value moves",
      ["drive", "seen now", "8 bit", "16 bit", "part"],
      now.drives.map((reading) => [reading.drive, size(reading.own), size(reading.coarse), size(reading.fine), reading.own.part]),
    ),
  );
}
