/** To put text where it can be pasted. */

/** Rejects where the browser does not let it happen. */
export async function copyText(text: string): Promise<void> {
  if (await written(text)) return;
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

/** Over http from another machine there is no clipboard, and a browser may keep it shut: only the older way is left then. */
async function written(text: string): Promise<boolean> {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    return false;
  }
}
