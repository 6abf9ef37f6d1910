/** Files and folders dropped anywhere on the page. */

import { byId } from "../ui/browser";
import { type Came, dropped } from "../work/folders";

export function listenToDrops(open: (came: readonly Came[]) => void, failed: (problem: unknown) => void): void {
  const hint = byId("drop-hint");
  let within = 0; // enter and leave come for every element passed on the way

  function carries(event: DragEvent): boolean {
    return event.dataTransfer?.types.includes("Files") ?? false;
  }
  addEventListener("dragenter", (event) => {
    if (!carries(event)) return;
    within += 1;
    hint.hidden = false;
  });
  addEventListener("dragleave", () => {
    within = Math.max(0, within - 1);
    hint.hidden = within === 0;
  });
  addEventListener("dragover", (event) => carries(event) && event.preventDefault());
  addEventListener("drop", (event) => {
    within = 0;
    hint.hidden = true;
    if (!event.dataTransfer || !carries(event)) return;
    event.preventDefault();
    dropped(event.dataTransfer).then((came) => came.length > 0 && open(came), failed);
  });
}
