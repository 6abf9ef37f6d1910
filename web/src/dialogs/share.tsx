/** Share: who can open this page comes first; then what others can open. */

import type { Signal } from "@preact/signals";
import { Button } from "../ui/button";
import { Dialog } from "../ui/dialog";
import type { Phone } from "../work/doors";
import type { Files } from "../work/history";
import { type Reach, reach } from "../work/reach";
import type { Session } from "../work/session";
import { DirectorFile } from "./director-file";
import { Command } from "./share-command";
import { Link } from "./share-link";
import { AtPhone } from "./share-phone";

interface ShareDialogProps {
  readonly open: Signal<boolean>;
  readonly session: Session;
  /** Which files differ from those that this site serves under the name; null if it serves none. */
  readonly changed: (folder: string, files: Files) => Promise<Files | null>;
  readonly offerFile: () => void;
  /** Where a phone finds this page; null where none may look. */
  readonly phone: () => Promise<Phone | null>;
}

export function ShareDialog({ open, offerFile, ...rest }: ShareDialogProps) {
  return (
    <Dialog title="Share" open={open}>
      <Ways
        {...rest}
        offerFile={() => {
          open.value = false;
          offerFile();
        }}
      />
    </Dialog>
  );
}

const WHO: Readonly<Record<Reach, string>> = {
  machine: "This page is served for this machine alone: nobody else can open a link to it. Send a file, let a phone beside you look, or make a site, as told below.",
  network: "The address of this page is one within a network: a link to it opens for whoever is in the same network, or in one with a way into it, and nowhere else; the address goes along in it, with its secret if it has one. A file, or a site with the prop, opens anywhere.",
  anyone: "This page is on a site: whoever can open this site can open a link to it.",
};

/** The ways out, those that are sure to arrive first. */
function Ways(props: Omit<ShareDialogProps, "open">) {
  const who = reach();
  const file = <AsFile offer={props.offerFile} />;
  const director = <DirectorFile session={props.session} />;
  const link = <Link session={props.session} changed={props.changed} offerFile={props.offerFile} />;
  return (
    <div class="share">
      <p class={who === "anyone" ? "quiet" : "caution"}>{WHO[who]}</p>
      {who === "machine" && [director, file, <AtPhone asked={props.phone} />, <AsSite />]}
      {who === "network" && [director, file, link, <AsSite />]}
      {who === "anyone" && [link, director, file]}
    </div>
  );
}

/** What can be sent to anyone. */
function AsFile({ offer }: { offer: () => void }) {
  return (
    <section class="stack" aria-labelledby="share-file">
      <h3 id="share-file">A file for another builder</h3>
      <p class="quiet">The zip of the prop folder and the GLB of this pose open on any posekit page, and posekit reads them.</p>
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
