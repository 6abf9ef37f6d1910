/** This page on a phone in the same network: how to let it look, or where it finds the page. */

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { complain } from "../ui/toasts";
import type { Phone } from "../work/doors";
import { Command } from "./share-command";

export function AtPhone({ asked }: { asked: () => Promise<Phone | null> }) {
  const phone = useSignal<Phone | null>(null);
  useEffect(() => void asked().then((found) => (phone.value = found), complain), []);
  return (
    <section class="stack" aria-labelledby="share-phone">
      <h3 id="share-phone">A phone in the same network</h3>
      {phone.value ? <Reached phone={phone.value} /> : <NotYet />}
    </section>
  );
}

function NotYet() {
  return (
    <>
      <p class="quiet">
        Start posekit like this, and whoever has its address and is in the same network, or in one with a way into it, can look at the prop as it
        is on disk, and at nothing else, until the command ends. MODEL is your prop folder.
      </p>
      <Command words="posekit show MODEL --phone" />
    </>
  );
}

function Reached({ phone }: { phone: Phone }) {
  return (
    <div class="phone">
      <Code rows={phone.rows} />
      <div class="stack">
        <p>Point the camera of the phone at the code.</p>
        <p class="quiet">
          Whoever has this address and is in the network {phone.network}, or in one with a way into it, can look at the prop with all its files and
          notes, as they are on disk, and keep a copy. Nobody can save or change anything there. The connection is not encrypted: others on its way
          can read along, the address too. It ends with posekit show.
        </p>
        <code class="command">{phone.address}</code>
      </div>
    </div>
  );
}

/** A QR code, dark on light in any theme. */
function Code({ rows }: { rows: readonly string[] }) {
  const size = rows.length;
  const dark = rows.flatMap((row, y) => [...row].flatMap((sign, x) => (sign === "1" ? [`M${x} ${y}h1v1h-1z`] : [])));
  return (
    <svg class="phone__code" viewBox={`0 0 ${size} ${size}`} shape-rendering="crispEdges" role="img" aria-label="The address as a QR code">
      <rect width={size} height={size} fill="#fff" />
      <path d={dark.join("")} fill="#000" />
    </svg>
  );
}
