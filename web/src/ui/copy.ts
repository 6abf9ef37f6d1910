/** To put text where it can be pasted. */

/** Rejects where the browser does not let it happen. */
export async function copyText(text: string): Promise<void> {
  // Over http from another machine there is no such object; only the older way is left.
  if (typeof navigator.clipboard?.writeText === "function") return navigator.clipboard.writeText(text);
  const box = document.createElement("textarea");
  box.value = text;
  box.className = "copied";
  const before = document.activeElement;
  (document.querySelector("dialog[open]") ?? document.body).append(box); // outside of an open dialog nothing can be selected
  box.select();
  const done = document.execCommand("copy");
  box.remove();
  if (before instanceof HTMLElement) before.focus();
  if (!done) throw new Error("This browser copies nothing here: select the text and copy it yourself.");
}
