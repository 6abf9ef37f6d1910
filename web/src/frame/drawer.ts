/** On a phone the controls are a sheet behind one button; on a desk they are always there. */

import { byId } from "../ui/dom";

const toggle = byId<HTMLButtonElement>("side-toggle");
toggle.addEventListener("click", () => showControls(toggle.ariaExpanded !== "true"));

export function showControls(open: boolean): void {
  document.body.classList.toggle("controls-open", open);
  toggle.ariaExpanded = String(open);
  toggle.textContent = open ? "Figure" : "Controls";
}
