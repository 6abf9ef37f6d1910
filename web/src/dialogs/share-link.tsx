/** A link that carries the pose, and of the prop what this site does not serve. */

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { Stopped } from "../engine/engine";
import { Button } from "../ui/button";
import { copyText } from "../ui/copy";
import { complain } from "../ui/toasts";
import type { Files } from "../work/history";
import { link, LONGEST_LINK, PRINT_LETTERS } from "../work/links";
import type { Session } from "../work/session";

interface LinkProps {
  readonly session: Session;
  readonly changed: (folder: string, files: Files) => Promise<Files | null>;
  readonly offerFile: () => void;
}

export function Link({ session, changed, offerFile }: LinkProps) {
  const address = useSignal("");
  const what = useSignal("");
  const copied = useSignal(false);
  const tooLong = address.value.length > LONGEST_LINK;

  async function make(): Promise<void> {
    const { folder, files, values } = session.history.work();
    const [own, print] = await Promise.all([changed(folder, files), printOf(session)]);
    const of = print.slice(0, PRINT_LETTERS);
    address.value = await link({ prop: folder, over: own !== null, files: own ?? files, values, of }, location.href);
    what.value = `${address.value.length} characters, ${carried(own)}.`;
  }
  useEffect(() => void make().catch(complain), []);

  async function copy(): Promise<void> {
    await copyText(address.value);
    copied.value = true;
  }

  return (
    <section class="stack" aria-labelledby="share-link">
      <h3 id="share-link">A link</h3>
      <p class="quiet">The pose is in the link, after the # sign, which browsers never send to a server. Whoever opens it sees this pose. If this site changes the prop after that, the page says so.</p>
      {!tooLong && <textarea class="input" rows={4} readonly aria-label="Link" value={address.value} />}
      <p role="status">
        {copied.value && "Copied. "}
        {!tooLong && what.value}
        {tooLong &&
          `The link would be ${address.value.length} characters; mail and chat programs cut links longer than ${LONGEST_LINK}. Send the GLB or the zip of the prop folder instead. Either opens on this page.`}
      </p>
      <div class="row">
        {tooLong ? (
          <Button icon="save" words="Save the file instead" onClick={offerFile} />
        ) : (
          <Button icon="copy" words="Copy the link" kind="main" disabled={!address.value} onClick={() => void copy().catch(complain)} />
        )}
      </div>
    </section>
  );
}

/** The fingerprint of the prop; empty where Python stands still: such a link opens as those made before they had one. */
function printOf({ make }: Session): Promise<string> {
  return make("fingerprint", {}).catch((problem: unknown) => {
    if (problem instanceof Stopped) return "";
    throw problem;
  });
}

/** What of the prop the link carries, in words. */
function carried(own: Files | null): string {
  if (!own) return "with the whole prop";
  const paths = Object.keys(own);
  return paths.length === 0 ? "the prop by its name" : `the prop by its name, with your ${paths.join(", ")}`;
}
