/** Open: a file from this machine, or a prop that this site serves. */

import type { Signal } from "@preact/signals";
import { useRef } from "preact/hooks";
import { Button } from "../ui/button";
import { Dialog } from "../ui/dialog";
import type { Served } from "../work/catalogue";
import { ACCEPTED } from "../work/files";

interface OpenDialogProps {
  readonly open: Signal<boolean>;
  readonly served: readonly Served[];
  readonly openFile: (file: File) => void;
  readonly openServed: (prop: Served) => void;
}

export function OpenDialog({ open, served, openFile, openServed }: OpenDialogProps) {
  const chooser = useRef<HTMLInputElement>(null);
  return (
    <Dialog title="Open" open={open}>
      <p class="quiet">
        A prop.toml, a zip of a prop folder, a GLB made by posekit, a show, or a snapshot (CSV, JSON, 512 bytes). Dropping it anywhere on the page
        works too. Nothing leaves this machine.
      </p>
      <div class="row">
        <Button icon="open" words="Choose a file" kind="main" onClick={() => chooser.current?.click()} />
        <input
          ref={chooser}
          type="file"
          accept={ACCEPTED}
          hidden
          aria-label="File to open"
          onChange={({ currentTarget }) => {
            const file = currentTarget.files?.[0];
            currentTarget.value = "";
            if (!file) return;
            open.value = false;
            openFile(file);
          }}
        />
      </div>
      <h3>Props on this site</h3>
      <div class="choices">
        {served.map((prop) => (
          <button
            key={prop.name}
            type="button"
            class="choice-card"
            onClick={() => {
              open.value = false;
              openServed(prop);
            }}
          >
            <strong>{prop.title}</strong>
            <span class="quiet">{prop.name}</span>
          </button>
        ))}
      </div>
    </Dialog>
  );
}
