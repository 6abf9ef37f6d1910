/** The bar at the top: new, open, save, share, undo, redo, theme, guide. */

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
  const { past, future } = session.history.record.value;
  const [undone, redone] = [past.at(-1), future[0]];
  const waiting = session.waiting.value > 0; // undo takes back what waits

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
      <Button icon="undo" name="Undo" short="undo" title={waiting ? "Undo: the change that waits" : undone ? `Undo: ${undone.label}` : "Nothing to undo"} off={!undone && !waiting} onClick={() => step("undo")} />
      <Button icon="redo" name="Redo" short="redo" title={redone ? `Redo: ${redone.label}` : "Nothing to redo"} off={!redone} onClick={() => step("redo")} />
      <ThemeButton />
      <Button icon="help" name="Guide and glossary" short="guide" kind="plain" onClick={guide} />
    </>
  );
}
