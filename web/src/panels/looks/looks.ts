/** Looks in one click, snapshots in and out. */

import { button, field, findingLine, fold } from "../../ui/controls";
import { download, h } from "../../ui/dom";
import type { FindingView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import type { Reach } from "./reach";
import { showing } from "../../ui/refusals";

type Form = "csv" | "json" | "text";
const TYPES: Record<Form, string> = { csv: "text/csv", json: "application/json", text: "text/plain" };

export function looksPanel(session: Session, reach: Reach, say: (words: string) => void): HTMLElement {
  return h(
    "div",
    { class: "stack" },
    h("h2", {}, "Looks"),
    looksList(session),
    storeForm(session),
    fold("Bring a part or a joint somewhere", false, reach.element),
    fold("Put a snapshot in", true, pasteForm(session)),
    fold("Take the snapshot out", true, copyForm(session, say)),
  );
}

function looksList(session: Session): HTMLElement {
  const list = h("ul", { class: "looks" });
  session.prop.watch((prop) => {
    const looks = prop?.looks ?? [];
    list.replaceChildren(
      ...looks.map((look) =>
        h(
          "li",
          { class: "look" },
          button({ words: look.name, class: "button look__go" }, () => {
            session.history.settle();
            session.setValues(`Look ${look.name}`, look.values);
          }),
          button({ drawn: "drop", name: `Remove look ${look.name}`, kind: "plain" }, () => void session.dropLook(look.name)),
        ),
      ),
      looks.length === 0 ? h("li", { class: "quiet" }, "No looks yet. Pose the figure and store it.") : "",
    );
  });
  return list;
}

function storeForm(session: Session): HTMLElement {
  const name = h("input", { type: "text", class: "input", autocomplete: "off" });
  const told = h("div");
  async function store(event: Event): Promise<void> {
    event.preventDefault();
    await showing(told, async () => {
      await session.storeLook(name.value.trim());
      name.value = "";
    });
  }
  return h(
    "form",
    { class: "stack", onsubmit: store },
    h("div", { class: "row row--end" }, field("Name of a new look", name), h("button", { type: "submit", class: "button" }, "Store this pose")),
    told,
  );
}

function pasteForm(session: Session): HTMLElement {
  const text = h("textarea", {
    class: "input",
    rows: 5,
    spellcheck: "false",
    placeholder: "universe,address,value\n1,9,128",
  });
  const told = h("div", { class: "stack", role: "status" });
  const put = (): Promise<void> =>
    showing(told, async () => {
      const findings = await takeSnapshot(session, new TextEncoder().encode(text.value), "");
      told.replaceChildren(h("p", { class: "quiet" }, "Taken."), ...findings.map((finding) => findingLine(finding)));
    });
  return h(
    "div",
    { class: "stack" },
    field("Snapshot as CSV or JSON; a file can be dropped anywhere on the page", text),
    h("div", { class: "row" }, button({ words: "Take these values", kind: "main" }, () => void put())),
    told,
  );
}

/** Read a snapshot over the current values; answers what there is to tell about it. */
export async function takeSnapshot(session: Session, data: Uint8Array<ArrayBuffer>, name: string): Promise<readonly FindingView[]> {
  const read = await session.engine.ask("read_snapshot", { data, name });
  session.history.settle();
  session.setValues(name ? `Snapshot ${name}` : "Snapshot", read.values);
  return read.findings;
}

function copyForm(session: Session, say: (words: string) => void): HTMLElement {
  const write = (form: Form): Promise<string> => session.engine.ask("write_snapshot", { values: session.values(), form });
  const copy = async (form: Form): Promise<void> => {
    await navigator.clipboard.writeText(await write(form));
    say(`Snapshot copied as ${form === "text" ? "text" : form.toUpperCase()}.`);
  };
  const save = async (): Promise<void> => download(`${session.history.work().folder}.csv`, await write("csv"), TYPES.csv);
  return h(
    "div",
    { class: "row" },
    button({ drawn: "copy", words: "CSV", "aria-label": "Copy as CSV" }, () => void copy("csv")),
    button({ drawn: "copy", words: "JSON", "aria-label": "Copy as JSON" }, () => void copy("json")),
    button({ drawn: "copy", words: "text", "aria-label": "Copy as text" }, () => void copy("text")),
    button({ drawn: "save", words: "CSV file" }, () => void save()),
  );
}
