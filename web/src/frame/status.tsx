/** Where things stand: how far Python has come, whether the work is saved, what there is to tell. */

import { type ReadonlySignal, useSignalEffect } from "@preact/signals";
import { type Bench, openPanel } from "../bench";
import type { Progress } from "../engine/messages";
import { ReachedNote } from "../panels/looks/reached";
import { Button } from "../ui/button";
import { grouped, worstFirst } from "../ui/finding";
import { complain } from "../ui/toasts";
import type { DrawnBy } from "../view/stage";
import type { Saved } from "../work/autosave";

const WORDS: Record<Progress["stage"], string> = {
  starting: "Starting Python",
  loading: "Loading Python",
  preparing: "Preparing the prop",
  ready: "",
  stopped: "Python has stopped.",
};

const SAVED: Record<Saved, string> = {
  saved: "Saved in this browser",
  saving: "Saving…",
  failed: "Not saved: this browser keeps no data. Save a file.",
};

interface StatusProps {
  readonly bench: Bench;
  readonly saved: ReadonlySignal<Saved | null>;
  /** How many changes and files wait for Python. */
  readonly waiting: ReadonlySignal<number>;
  /** Files that are not in the folder on disk as they are here. */
  readonly unsaved: ReadonlySignal<readonly string[]>;
  readonly compare: () => void;
}

export function Status({ bench, saved, waiting, unsaved, compare }: StatusProps) {
  return (
    <>
      <ReachedNote reach={bench.reach} />
      <Graphics drawnBy={bench.view.stage.drawnBy.value} />
      <EngineStatus bench={bench} />
      <Near bench={bench} />
      <Count bench={bench} />
      <Unsaved unsaved={unsaved} compare={compare} />
      <span class="quiet status__saved">{saved.value && `${SAVED[saved.value]}${saved.value === "saved" ? waits(waiting.value) : ""}`}</span>
    </>
  );
}

function waits(count: number): string {
  return count === 0 ? "" : `; ${count} ${count === 1 ? "change waits" : "changes wait"} for Python`;
}

function EngineStatus({ bench: { session } }: { bench: Bench }) {
  const { stage, done, total, reason } = session.progress.value;
  useSignalEffect(() => {
    document.documentElement.dataset["engine"] = session.progress.value.stage;
  });
  const words = stage === "loading" && total > 0 ? `${WORDS.loading}: ${megabytes(done)} of ${megabytes(total)} MB` : WORDS[stage];
  return (
    <div class="status__engine" role="status" hidden={stage === "ready"}>
      <span>{reason ? `${words} (${reason})` : words}</span>
      {stage === "stopped" ? (
        <Button words="Start it again" kind="main" onClick={() => void session.restart().catch(complain)} />
      ) : (
        <progress class="progress" max={1} aria-label="Loading Python" {...(done > 0 && total > 0 && { value: done / total })} />
      )}
    </div>
  );
}

/** Why the picture is not what it could be. */
function Graphics({ drawnBy }: { drawnBy: DrawnBy }) {
  if (drawnBy === "card") return null;
  if (drawnBy === "nothing") {
    return (
      <p class="status__graphics" role="alert">
        The browser draws no picture now. Once it has the graphics card again, the picture comes back by itself; if that takes long, reload the page or take another browser. All else works, and nothing is lost.
      </p>
    );
  }
  return (
    <details class="status__graphics">
      <summary>Drawn without the graphics card</summary>
      <p>This browser gives no WebGL. The picture is plainer and has no shadows; all else is as ever. Another browser or a newer graphics driver may give it.</p>
    </details>
  );
}

/** How many files are not in the folder yet; a press shows which and how they differ. */
function Unsaved({ unsaved, compare }: Pick<StatusProps, "unsaved" | "compare">) {
  const count = unsaved.value.length;
  if (count === 0) return null;
  return <Button icon="save" words={`${count} ${count === 1 ? "file" : "files"} not in the folder yet`} kind="plain" class="status__count" onClick={compare} />;
}

/** How many pairs of parts are below the margin. */
function Near({ bench }: { bench: Bench }) {
  const pairs = bench.nearness.near.value?.pairs.length ?? 0;
  if (pairs === 0) return null;
  return (
    <Button
      icon="warning"
      words={`${pairs} ${pairs === 1 ? "pair" : "pairs"} closer than the margin`}
      kind="plain"
      class="status__count"
      onClick={() => openPanel(bench, "clearance")}
    />
  );
}

/** How many findings there are, as the panel lists them: so far, where the shapes of the parts were not looked at yet. */
function Count({ bench }: { bench: Bench }) {
  const { check } = bench;
  const [pose, prop] = [check.pose.value, check.prop.value];
  const worst = worstFirst([...pose, ...prop])[0];
  if (!worst) return null;
  const count = grouped(pose).length + grouped(prop).length;
  return (
    <Button
      icon={worst.level}
      words={`${count} ${count === 1 ? "finding" : "findings"}${check.whole.value ? "" : " so far"}`}
      kind="plain"
      class="status__count"
      onClick={() => openPanel(bench, "findings")}
    />
  );
}

function megabytes(bytes: number): string {
  return (bytes / 1e6).toFixed(1);
}
