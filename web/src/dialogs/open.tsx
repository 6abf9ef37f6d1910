/** Open: a file from this machine, or a prop that this site serves. */

import { type Signal, useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { Button } from "../ui/button";
import { Dialog } from "../ui/dialog";
import { useId } from "../ui/id";
import type { KeptBench } from "../work/benches";
import type { Served } from "../work/catalogue";
import { ACCEPTED } from "../work/files";
import { type Came, chosen } from "../work/folders";

const AGAIN_MS = 1000;

interface OpenDialogProps {
  readonly open: Signal<boolean>;
  readonly served: readonly Served[];
  readonly openAll: (came: readonly Came[]) => void;
  /** Begin a new prop instead. */
  readonly begin: () => void;
  readonly openServed: (prop: Served) => void;
  /** Other work that this browser keeps. */
  readonly kept: () => Promise<readonly KeptBench[]>;
  readonly goTo: (bench: string) => void;
}

export function OpenDialog({ open, served, openAll, begin, openServed, kept, goTo }: OpenDialogProps) {
  const chooser = useRef<HTMLInputElement>(null);
  return (
    <Dialog title="Open" open={open}>
      <p class="quiet">
        A prop.toml, a zip of a prop folder, a GLB made by posekit, a show, or a snapshot (CSV, JSON, 512 bytes); or parts to make a new prop of (STL,
        OBJ, PLY, GLB, STEP, URDF). <span class="for-mouse">Dropping them anywhere on the page works too.</span> Nothing leaves this device.
      </p>
      <div class="row">
        <Button icon="open" words="Choose a file" kind="main" onClick={() => chooser.current?.click()} />
        <Button
          icon="add"
          words="New prop"
          onClick={() => {
            open.value = false;
            begin();
          }}
        />
        <input
          ref={chooser}
          type="file"
          multiple
          accept={ACCEPTED}
          hidden
          aria-label="File to open"
          onChange={({ currentTarget }) => {
            const came = chosen(currentTarget.files);
            currentTarget.value = "";
            if (came.length === 0) return;
            open.value = false;
            openAll(came);
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
      <KeptBenches kept={kept} goTo={goTo} />
    </Dialog>
  );
}

/** Work that was left at other benches, such as that of a tab which was closed. */
function KeptBenches({ kept, goTo }: Pick<OpenDialogProps, "kept" | "goTo">) {
  const benches = useSignal<readonly KeptBench[]>([]);
  const id = useId();
  // A tab that is just being closed still holds its bench for a moment, and no event tells when it lets go.
  useEffect(() => {
    const look = (): void => void kept().then((found) => (benches.value = found.filter(({ changed }) => changed)), () => undefined);
    look();
    const timer = setInterval(look, AGAIN_MS);
    return () => clearInterval(timer);
  }, []);
  if (benches.value.length === 0) return null;
  return (
    <>
      <h3 id={id}>Kept in this browser</h3>
      <ul class="choices" aria-labelledby={id}>
        {benches.value.map((bench) => (
          <li key={bench.id}>
            <button type="button" class="choice-card" onClick={() => goTo(bench.id)}>
              <strong>{bench.title}</strong>
              <span class="quiet">changed {new Date(bench.at).toLocaleString()}</span>
            </button>
          </li>
        ))}
      </ul>
    </>
  );
}
