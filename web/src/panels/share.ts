/** Share: a link that carries the pose, and the prop too where this site does not serve it. */

import { button } from "../controls";
import { h } from "../dom";
import type { Session } from "../session";
import { link, LONGEST_LINK } from "../share";
import type { Files } from "../state";
import { dialog } from "./dialog";

/** `served` answers whether the files are, unchanged, those of a prop that this site serves. */
export function shareDialog(
  session: Session,
  served: (folder: string, files: Files) => Promise<boolean>,
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
      const byName = await served(folder, files);
      const address = await link({ prop: folder, files: byName ? null : files, values }, location.href);
      const tooLong = address.length > LONGEST_LINK;
      text.value = tooLong ? "" : address;
      text.hidden = copy.hidden = tooLong;
      file.hidden = !tooLong;
      told.textContent = tooLong
        ? `The link would have ${address.length} letters, more than the ${LONGEST_LINK} that mail and chat programs pass on whole. Send the GLB or the zip of the prop folder instead; both can be dropped on this page.`
        : `${address.length} letters, ${byName ? "the prop by its name" : "with the whole prop"}.`;
      made.showModal();
    },
  };
}
