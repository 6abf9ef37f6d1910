/** Calibration: end points, trim, servo and linkage of one drive at a time, straight in the prop file. */

import { button, field, fold } from "../../ui/controls";
import { h } from "../../ui/dom";
import type { DriveView, FieldView, PropView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import { settingField } from "./setting";

export function calibrationPanel(session: Session): HTMLElement {
  const which = h("select", { class: "input" });
  const form = h("div", { class: "stack" });
  let shown = "";

  function draw(prop: PropView): void {
    which.replaceChildren(...prop.drives.map(({ name }) => h("option", { value: name, selected: name === shown }, name)));
    const drive = prop.drives.find(({ name }) => name === shown) ?? prop.drives[0];
    if (!drive) return;
    shown = drive.name;
    keepingPlace(form, () => form.replaceChildren(...driveForm(session, prop, drive)));
  }

  which.addEventListener("change", () => {
    shown = which.value;
    const prop = session.prop.get();
    if (prop) draw(prop);
    session.history.settle();
  });
  session.prop.watch((prop) => prop && draw(prop));
  session.chosen.watch((joint) => {
    const prop = session.prop.get();
    const drive = prop?.drives.find((each) => each.joint === joint);
    if (!prop || !drive || drive.name === shown) return;
    shown = drive.name;
    draw(prop);
  });

  return h(
    "div",
    { class: "stack" },
    h("h2", {}, "Calibration"),
    caution(),
    field("Drive", which),
    form,
  );
}

function driveForm(session: Session, prop: PropView, drive: DriveView): HTMLElement[] {
  const under = (part: string): FieldView[] => drive.fields.filter(({ path }) => path.startsWith(`${drive.path}.${part}`));
  const pulse = under("pulse");
  const linkage = under("linkage");
  const rest = drive.fields.filter((each) => !pulse.includes(each) && !linkage.includes(each));
  const servo = prop.servos.find(({ name }) => name === drive.servo);
  const shared = prop.drives.filter((each) => each.servo === drive.servo).map(({ name }) => name);
  const swap = button({ words: "Reverse: swap the end points", kind: "plain" }, () => void reverse(session, drive));
  return [
    h("fieldset", { class: "stack" }, h("legend", {}, "End points and trim"), settings(session, pulse), swap),
    fold(`Linkage: ${drive.linkage.replaceAll("_", " ")}`, linkage.length > 0, settings(session, linkage)),
    fold("Patch and motion limits", false, settings(session, rest)),
    fold(
      `Servo: ${drive.servo}`,
      false,
      h("p", { class: "quiet" }, shared.length > 1 ? `Shared by ${shared.join(", ")}.` : "Used by this drive alone."),
      settings(session, servo?.fields ?? []),
    ),
  ];
}

function settings(session: Session, fields: readonly FieldView[]): HTMLElement {
  return h("div", { class: "settings" }, ...fields.map((each) => settingField(session, each)));
}

async function reverse(session: Session, drive: DriveView): Promise<void> {
  const place = `${drive.path}.pulse`;
  await session.edit(`${place}.low`, drive.pulse_high, place);
  await session.edit(`${place}.high`, drive.pulse_low, place);
  session.history.settle();
}

/** New controls for the same keys: folds stay as they were, and so does the focus. */
function keepingPlace(form: HTMLElement, change: () => void): void {
  const folds = [...form.querySelectorAll("details")].map(({ open }) => open);
  const focused = document.activeElement;
  const path = focused && form.contains(focused) ? focused.closest<HTMLElement>("[data-path]")?.dataset["path"] : undefined;
  change();
  form.querySelectorAll("details").forEach((fold, index) => (fold.open = folds[index] ?? fold.open));
  if (path) form.querySelector<HTMLElement>(`[data-path="${path}"] :is(input, select, textarea)`)?.focus();
}

export function caution(): HTMLElement {
  return h(
    "p",
    { class: "caution" },
    h("strong", {}, "Mind your fingers. "),
    "What moves here pinches there: keep hands and hair out of the prop, take the supply off before reaching in, and try new end points slowly. A servo held against a stop overheats. Follow your local codes; mains and lifting gear are for licensed people.",
  );
}
