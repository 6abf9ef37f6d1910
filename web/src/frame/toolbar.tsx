/** The bar at the top: new, open, save, share, undo, redo, theme, guide. */

import { useComputed } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { Button } from "../ui/button";
import { isUndo, undoesText } from "../ui/field";
import { say } from "../ui/toasts";
import type { Session } from "../work/session";
import { ThemeButton } from "./theme";

interface ToolbarProps {
  readonly session: Session;
  readonly begin: () => void;
  readonly open: () => void;
  readonly save: () => void;
  readonly share: () => void;
  readonly guide: () => void;
}

export function Toolbar({ session, begin, open, save, share, guide }: ToolbarProps) {
  const { record } = session.history;
  const undone = useComputed(() => record.value.past.at(-1)?.label ?? null).value;
  const redone = useComputed(() => record.value.future[0]?.label ?? null).value;
  const waiting = session.changes.value > 0; // undo takes back what waits

  function step(way: "undo" | "redo"): void {
    const label = session[way]();
    if (label) say(`${way === "undo" ? "Undone" : "Done again"}: ${label}`);
  }

  useEffect(() => {
    function press(event: KeyboardEvent): void {
      if (!isUndo(event) || undoesText(event.target)) return;
      event.preventDefault();
      step(event.shiftKey || event.key.toLowerCase() === "y" ? "redo" : "undo");
    }
    document.addEventListener("keydown", press);
    return () => document.removeEventListener("keydown", press);
  }, [session]);

  return (
    <>
      <Button icon="add" words="New" kind="plain" class="for-wide" onClick={begin} />
      <Button icon="open" words="Open" kind="plain" onClick={open} />
      <Button icon="save" words="Save" kind="plain" onClick={save} />
      <Button icon="share" words="Share" kind="plain" onClick={share} />
      <Button icon="undo" name="Undo" short="undo" title={waiting ? "Undo: the change that waits" : undone !== null ? `Undo: ${undone}` : "Nothing to undo"} off={undone === null && !waiting} onClick={() => step("undo")} />
      <Button icon="redo" name="Redo" short="redo" title={redone !== null ? `Redo: ${redone}` : "Nothing to redo"} off={redone === null} onClick={() => step("redo")} />
      <ThemeButton />
      <Button icon="help" name="Guide and glossary" short="guide" kind="plain" onClick={guide} />
    </>
  );
}
