/** Which show is open: one of the prop, a file of one's own, or a new one that begins with this pose. */

import { button, field, findingLine, select } from "../../ui/controls";
import { h } from "../../ui/dom";
import { KINDS } from "../../engine/protocol";
import type { Rehearsal } from "./rehearsal";
import type { Session } from "../../work/session";
import { showing } from "../../ui/refusals";

export const SHOWS = "shows/";
/** `began` hears when a new show was made. */
export function showPicker(session: Session, rehearsal: Rehearsal, began: () => void): HTMLElement {
  const which = select([], { id: "show" });
  const told = h("div", { class: "stack", role: "status" });
  const chooser = h("input", { type: "file", accept: KINDS.SHOWS.join(","), hidden: true, "aria-label": "Show to open" });
  const title = h("input", { type: "text", class: "input", autocomplete: "off" });

  function list(): void {
    const open = rehearsal.show.get();
    const kept = Object.keys(session.history.work().files).filter((path) => path.startsWith(SHOWS));
    const loose = open && !kept.includes(open.file) ? [open.file] : [];
    which.replaceChildren(
      h("option", { value: "" }, kept.length + loose.length > 0 ? "Choose a show…" : "No shows yet"),
      ...[...kept, ...loose].map((file) => h("option", { value: file }, file.replace(SHOWS, ""))),
    );
    which.value = open?.file ?? "";
  }
  session.history.record.watch(list);
  rehearsal.show.watch((show) => {
    list();
    told.replaceChildren(...(show?.findings ?? []).map((finding) => findingLine(finding)));
  });

  which.addEventListener("change", () => {
    if (which.value === "") rehearsal.close();
    else void showing(told, () => rehearsal.open(which.value));
  });
  chooser.addEventListener("change", () => {
    const file = chooser.files?.[0];
    if (file) void showing(told, async () => openShow(session, rehearsal, file.name, new Uint8Array(await file.arrayBuffer())));
    chooser.value = "";
  });

  async function begin(event: Event): Promise<void> {
    event.preventDefault();
    await showing(told, async () => {
      const name = title.value.trim();
      const file = `${SHOWS}${name}.toml`;
      const view = await session.engine.ask("begin_show", { title: name, values: session.values() });
      session.history.settle();
      await session.take(`Begin show ${name}`, view, file);
      await rehearsal.open(file);
      title.value = "";
      began();
    });
  }

  return h(
    "div",
    { class: "stack" },
    h("div", { class: "row row--end" }, field("Show", which), button({ drawn: "open", words: "Open a file" }, () => chooser.click()), chooser),
    h(
      "form",
      { class: "row row--end", onsubmit: begin },
      field("Name of a new show", title),
      h("button", { type: "submit", class: "button" }, "Begin with this pose"),
    ),
    told,
  );
}

/** Open a show from the builder's disk. A list of cues is kept with the prop, a recording only while it is open. */
export async function openShow(session: Session, rehearsal: Rehearsal, name: string, data: Uint8Array<ArrayBuffer>): Promise<void> {
  await rehearsal.open(name, data);
  if (!name.toLowerCase().endsWith(".toml")) return;
  const path = `${SHOWS}${name}`;
  session.history.settle();
  await session.take(`Keep show ${name}`, await session.engine.ask("keep_file", { path, data }), path);
  await rehearsal.open(path);
}
