/** Guide: how the page is used, and what its words mean. */

import { type Signal, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { Caution } from "../ui/caution";
import { Dialog } from "../ui/dialog";
import { complain } from "../ui/toasts";
import type { GLOSSARY } from "./glossary";

export function GuideDialog({ open }: { open: Signal<boolean> }) {
  return (
    <Dialog title="Guide" open={open}>
      <Caution />
      <ul class="guide stack">
        <li class="for-mouse">Drag to turn the view, scroll to zoom, drag with the right button to move. Click a part to choose its joint.</li>
        <li class="for-touch">One finger turns the view, two zoom and move it. Tap a part to choose its joint.</li>
        <li class="for-mouse">By keyboard: arrow keys turn the view or step a value; plus and minus zoom; Home shows all; Ctrl+Z undoes.</li>
        <li>Your work is kept in this browser. Save the prop folder to keep it elsewhere.</li>
      </ul>
      <h3>Glossary</h3>
      <Glossary />
    </Dialog>
  );
}

/** Fetched when it is first read. */
function Glossary() {
  const words = useSignal<typeof GLOSSARY>([]);
  useEffect(() => {
    import("./glossary").then((found) => (words.value = found.GLOSSARY)).catch(complain);
  }, []);
  return (
    <dl class="glossary">
      {words.value.map(([word, meaning]) => (
        <div key={word}>
          <dt>{word}</dt>
          <dd class="quiet">{meaning}</dd>
        </div>
      ))}
    </dl>
  );
}
