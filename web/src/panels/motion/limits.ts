/** Speed and acceleration of each drive, to be moved while the show plays, with what it comes to beside them. */

import { h } from "../../ui/dom";
import { fromSlider, LAST_STEP, toSlider } from "./limit-slider";
import { ACCELERATION, limitText, short, SPEED } from "../../ui/numbers";
import type { Rehearsal } from "./rehearsal";
import type { DriveReadingView, DriveView, ShowView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import { complain } from "../../ui/toasts";

const LEAST_SPEED = 5; // °/s
const MOST_SPEED = 1000; // °/s, where the servo tells none
const LEAST_SLOPE = 10; // °/s²
const MOST_SLOPE = 20_000; // °/s²

interface Row {
  readonly element: HTMLElement;
  show(show: ShowView): void;
  read(reading: DriveReadingView | undefined): void;
}

export function limitSliders(session: Session, rehearsal: Rehearsal): HTMLElement {
  const list = h("ul", { class: "limits" });
  let rows = new Map<string, Row>();

  function draw(): void {
    const [show, prop] = [rehearsal.show.get(), session.prop.get()];
    if (!show || !prop) return;
    if (prop.drives.length !== rows.size || prop.drives.some(({ name }) => !rows.has(name))) {
      rows = new Map(prop.drives.map((drive) => [drive.name, row(session, drive)]));
      list.replaceChildren(...[...rows.values()].map(({ element }) => element));
    }
    for (const each of rows.values()) each.show(show);
  }
  session.prop.watch(draw);
  rehearsal.show.watch(draw);
  rehearsal.readings.watch((readings) => {
    for (const [name, each] of rows) each.read(readings?.drives.find(({ drive }) => drive === name));
  });
  session.chosen.watch((joint) => {
    const chosen = session.prop.get()?.drives.find((drive) => drive.joint === joint)?.name;
    for (const [name, { element }] of rows) element.classList.toggle("limit--chosen", name === chosen);
  });
  return list;
}

function row(session: Session, drive: DriveView): Row {
  const speed = slider(session, drive, "speed", "Speed", SPEED);
  const slope = slider(session, drive, "acceleration", "Acceleration", ACCELERATION);
  const told = h("p", { class: "limit__told quiet" });
  const element = h(
    "li",
    { class: "limit", "data-drive": drive.name },
    h("h4", { class: "limit__name" }, drive.name),
    speed.element,
    slope.element,
    told,
  );
  element.addEventListener("focusin", () => session.chosen.set(drive.joint));
  return {
    element,
    show(show) {
      const limit = show.limits[drive.name];
      speed.show(limit?.speed ?? null, LEAST_SPEED, show.servo_speeds[drive.name] ?? MOST_SPEED);
      slope.show(limit?.acceleration ?? null, LEAST_SLOPE, MOST_SLOPE);
    },
    read: (reading) => told.replaceChildren(reading ? readingText(reading) : "…"),
  };
}

/** How a drive keeps up, in a sentence. */
function readingText(reading: DriveReadingView): string {
  if (reading.top_speed === 0) return "Stands still in this show.";
  if (reading.stops === 0) return `Makes no stop in this show; ${short(reading.top_speed)} ${SPEED} at most.`;
  const arrives = reading.arrives ? "Arrives everywhere" : `Misses ${reading.missed} of ${reading.stops} stops`;
  return `${arrives}, ${short(reading.lag_s)} s late at most; ${short(reading.top_speed)} ${SPEED} at most.`;
}

interface Slider {
  readonly element: HTMLElement;
  show(limit: number | null, least: number, most: number): void;
}

function slider(session: Session, drive: DriveView, key: "speed" | "acceleration", words: string, unit: string): Slider {
  const path = `${drive.path}.${key}`;
  const id = `limit-${drive.name}-${key}`;
  const range = h("input", { type: "range", class: "slider", id, min: 0, max: LAST_STEP, step: 1 });
  const text = h("output", { class: "number", for: id });
  let [least, most] = [1, 1];
  let sending = false;
  let next: { limit: number | null } | null = null;

  function write(limit: number | null): void {
    text.textContent = limitText(limit, unit);
    range.setAttribute("aria-valuetext", limit === null ? "no limit" : `${limit} ${unit}`);
  }

  /** One edit at a time; of those that come meanwhile only the last. */
  async function send(limit: number | null): Promise<void> {
    next = { limit };
    if (sending) return;
    sending = true;
    try {
      while (next) {
        const wanted: { limit: number | null } = next;
        next = null;
        await session.edit(path, wanted.limit, path);
      }
    } catch (problem) {
      complain(problem);
    } finally {
      sending = false;
    }
  }

  range.addEventListener("input", () => {
    const limit = fromSlider(range.valueAsNumber, least, most);
    write(limit);
    void send(limit);
  });
  range.addEventListener("change", () => session.history.settle());

  return {
    element: h("div", { class: "limit__row" }, h("label", { for: id, class: "quiet" }, words), range, text),
    show(limit, from, to) {
      [least, most] = [from, to];
      if (sending) return; // the hand is ahead of what comes back
      range.value = String(toSlider(limit, least, most));
      write(limit);
    },
  };
}
