/** The bar at the top: open, save, share, undo, redo, theme. */

import { button } from "../ui/controls";
import { byId } from "../ui/dom";
import type { Session } from "../work/session";
import { themeButton } from "./theme";
import { say } from "../ui/toasts";

export interface Doings {
  open(): void;
  save(): void;
  share(): void;
}

export function fillToolbar(session: Session, doings: Doings): void {
  const undo = button({ drawn: "undo", name: "Undo" }, () => step("undo"));
  const redo = button({ drawn: "redo", name: "Redo" }, () => step("redo"));

  function step(way: "undo" | "redo"): void {
    const label = session.history[way]();
    if (label) say(`${way === "undo" ? "Undone" : "Done again"}: ${label}`);
  }

  byId("actions").replaceChildren(
    button({ drawn: "open", words: "Open", kind: "plain" }, doings.open),
    button({ drawn: "save", words: "Save", kind: "plain" }, doings.save),
    button({ drawn: "share", words: "Share", kind: "plain" }, doings.share),
    undo,
    redo,
    themeButton(),
  );

  session.history.record.watch(({ past, future }) => {
    undo.disabled = past.length === 0;
    redo.disabled = future.length === 0;
    undo.title = past.length > 0 ? `Undo: ${past.at(-1)?.label}` : "Nothing to undo";
    redo.title = future.length > 0 ? `Redo: ${future[0]?.label}` : "Nothing to redo";
  });

  document.addEventListener("keydown", (event) => {
    const writing = event.target instanceof Element && event.target.matches("textarea, input[type=text]:not(.input--number)");
    if (!(event.ctrlKey || event.metaKey) || writing) return;
    const way = { z: event.shiftKey ? "redo" : "undo", y: "redo" }[event.key.toLowerCase()] as "undo" | "redo" | undefined;
    if (!way) return;
    event.preventDefault();
    step(way);
  });
}
