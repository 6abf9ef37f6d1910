/** Share: a link that carries the pose, and of the prop what this site does not serve. */

import { button } from "../ui/controls";
import { h } from "../ui/dom";
import type { Session } from "../work/session";
import { link, LONGEST_LINK } from "../work/links";
import type { Files } from "../work/history";
import { dialog } from "../ui/dialog";

/** `changed` answers which files differ from those that this site serves under the name; null if it serves none. */
export function shareDialog(
  session: Session,
  changed: (folder: string, files: Files) => Promise<Files | null>,
  offerFile: () => void,
): { open(): Promise<void> } {
  const text = h("textarea", { class: "input", rows: 4, readonly: true, "aria-label": "Link" });
  const told = h("p", { role: "status" });
  const copy = button({ drawn: "copy", words: "Copy the link", kind: "main" }, () => void take());
  const file = button({ drawn: "save", words: "Save the file instead" }, () => {
    made.close();
    offerFile();
  });
  const made = dialog("Share", [
    h("p", { class: "quiet" }, "The link holds all of it after the # sign, which no browser sends to a server. Whoever opens it sees exactly this pose."),
    text,
    told,
    h("div", { class: "row" }, copy, file),
  ]);

  async function take(): Promise<void> {
    await navigator.clipboard.writeText(text.value);
    told.textContent = "Copied.";
  }

  return {
    async open() {
      const { folder, files, values } = session.history.work();
      const own = await changed(folder, files);
      const address = await link({ prop: folder, over: own !== null, files: own ?? files, values }, location.href);
      const tooLong = address.length > LONGEST_LINK;
      text.value = tooLong ? "" : address;
      text.hidden = copy.hidden = tooLong;
      file.hidden = !tooLong;
      told.textContent = tooLong
        ? `The link would have ${address.length} letters, more than the ${LONGEST_LINK} that mail and chat programs pass on whole. Send the GLB or the zip of the prop folder instead; both can be dropped on this page.`
        : `${address.length} letters, ${carried(own)}.`;
      made.showModal();
    },
  };
}

/** What of the prop the link carries, in words. */
function carried(own: Files | null): string {
  if (!own) return "with the whole prop";
  const paths = Object.keys(own);
  return paths.length === 0 ? "the prop by its name" : `the prop by its name, with your ${paths.join(", ")}`;
}
