/** Share: who can open this page comes first; then what others can open. */

import { type Signal, useSignal } from "@preact/signals";
import { Button } from "../ui/button";
import { copyText } from "../ui/copy";
import { Dialog } from "../ui/dialog";
import { complain } from "../ui/toasts";
import type { Files } from "../work/history";
import { type Reach, reach } from "../work/reach";
import type { Session } from "../work/session";
import { Link } from "./share-link";

interface ShareDialogProps {
  readonly open: Signal<boolean>;
  readonly session: Session;
  /** Which files differ from those that this site serves under the name; null if it serves none. */
  readonly changed: (folder: string, files: Files) => Promise<Files | null>;
  readonly offerFile: () => void;
}

export function ShareDialog({ open, session, changed, offerFile }: ShareDialogProps) {
  return (
    <Dialog title="Share" open={open}>
      <Ways
        session={session}
        changed={changed}
        offerFile={() => {
          open.value = false;
          offerFile();
        }}
      />
    </Dialog>
  );
}

const WHO: Readonly<Record<Reach, string>> = {
  machine: "This page is served for this machine alone: nobody else can open a link to it. Others can open a file, or a site with the prop.",
  network: "This page is reached in your own network only: a link to it opens for whoever is in the same network, and nowhere else. A file, or a site with the prop, opens anywhere.",
  anyone: "This page is on the web: whoever has the link opens it.",
};

/** The ways out, those that are sure to arrive first. */
function Ways(props: Omit<ShareDialogProps, "open">) {
  const who = reach();
  const file = <AsFile offer={props.offerFile} />;
  const link = <Link {...props} />;
  return (
    <div class="share">
      <p class={who === "anyone" ? "quiet" : "caution"}>{WHO[who]}</p>
      {who === "machine" && [file, <AsSite />]}
      {who === "network" && [file, link, <AsSite />]}
      {who === "anyone" && [link, file]}
    </div>
  );
}

/** What can be sent to anyone. */
function AsFile({ offer }: { offer: () => void }) {
  return (
    <section class="stack" aria-labelledby="share-file">
      <h3 id="share-file">A file</h3>
      <p class="quiet">The zip of the prop folder and the GLB of this pose can be dropped on any posekit page, and posekit reads them.</p>
      <div class="row">
        <Button icon="save" words="Save a file to send" onClick={offer} />
      </div>
    </section>
  );
}

/** How the page gets onto the web. */
function AsSite() {
  return (
    <section class="stack" aria-labelledby="share-site">
      <h3 id="share-site">A site</h3>
      <p class="quiet">
        This command makes a folder for any web host: the page with your props. Links to it are short and open anywhere; whoever has one can read
        the prop. MODEL is your prop folder, SITE a new one.
      </p>
      <Command words="posekit site SITE MODEL" />
    </section>
  );
}

/** A command for a terminal, to be copied. */
function Command({ words }: { words: string }) {
  const copied = useSignal(false);
  const copy = (): void => void copyText(words).then(() => (copied.value = true), complain);
  return (
    <div class="row">
      <code class="command">{words}</code>
      <Button icon="copy" name={`Copy ${words}`} onClick={copy} />
      <span role="status">{copied.value && "Copied."}</span>
    </div>
  );
}
