/** New prop: from nothing, or from files, of which the builder sees what they are before they become one. */

import { useSignal, useSignalEffect } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { BroughtView } from "../../engine/protocol";
import { apart } from "../../ui/apart";
import { Button } from "../../ui/button";
import { Dialog } from "../../ui/dialog";
import { Field, Select, Typed } from "../../ui/field";
import { Finding, Findings } from "../../ui/finding";
import { Table } from "../../ui/table";
import { complain, complainUnasked } from "../../ui/toasts";
import { ACCEPTED_PARTS } from "../../work/files";
import { type Came, chosen } from "../../work/folders";
import type { Begin, Choices } from "./begin";
import { Preview } from "./preview";
import "./begin.css";

interface BeginDialogProps {
  readonly begin: Begin;
  /** Takes files that were chosen here. */
  readonly openAll: (came: readonly Came[]) => void;
  /** The prop was made. */
  readonly made: (name: string) => void;
}

export function BeginDialog({ begin, openAll, made }: BeginDialogProps) {
  // However the box is closed, what was in it is let go of.
  useSignalEffect(() => void (begin.open.value || begin.cancel()));
  const view = begin.view.value;
  const busy = begin.busy.value;

  async function accept(): Promise<void> {
    const name = await begin.accept();
    if (name !== null) made(name);
  }

  return (
    <Dialog title="New prop" open={begin.open} wide stays={begin.making.value}>
      {!view && !busy && <Choose begin={begin} openAll={openAll} />}
      {busy && (
        <div class="stack" role="status">
          <p>{busy}</p>
          <progress class="progress" aria-label={busy} />
        </div>
      )}
      <div role="alert">
        <Findings findings={begin.wrong.value} />
      </div>
      {view && (
        <div class="stack" aria-busy={busy !== null}>
          <Brought begin={begin} view={view} />
        </div>
      )}
      {view && (
        <div class="row">
          <Button kind="main" words="Make this prop" off={busy !== null} onClick={() => void accept().catch(complain)} />
        </div>
      )}
    </Dialog>
  );
}

/** What a prop can begin with. */
function Choose({ begin, openAll }: Pick<BeginDialogProps, "begin" | "openAll">) {
  const [files, folder] = [useRef<HTMLInputElement>(null), useRef<HTMLInputElement>(null)];
  useEffect(() => folder.current?.setAttribute("webkitdirectory", ""), []); // no property of every browser
  const take = ({ currentTarget }: { currentTarget: HTMLInputElement }): void => {
    const came = chosen(currentTarget.files);
    if (came.length > 0) openAll(came);
    currentTarget.value = "";
  };
  return (
    <>
      <p class="quiet">
        From meshes: STL, OBJ (bring its .mtl, too, for its colours), PLY or GLB, several at once, as they stand in CAD. From one STEP file. From one URDF with its meshes, as a folder or a zip.{" "}
        <span class="for-mouse">Dropping them anywhere on the page works too. </span>Nothing leaves this device.
      </p>
      <div class="row">
        <Button icon="open" words="Choose files" kind="main" onClick={() => files.current?.click()} />
        <Button icon="open" words="Choose a folder" onClick={() => folder.current?.click()} />
        <Button icon="add" words="Begin from nothing" onClick={() => void begin.empty().catch(complain)} />
        <input ref={files} type="file" multiple accept={ACCEPTED_PARTS} hidden aria-label="Files to begin with" onChange={take} />
        <input ref={folder} type="file" multiple hidden aria-label="Folder to begin with" onChange={take} />
      </div>
    </>
  );
}

const UNITS: Readonly<Record<string, string>> = { mm: "millimetres", cm: "centimetres", m: "metres", inch: "inches" };

/** The choice that leaves it to the files: where it is made, and where another was made since. */
const asEachHasIt = (taken: string | null, choice: string | null | undefined) =>
  taken === null || choice ? [["", "as each kind of file has it"] as const] : [];

function Brought({ begin, view }: { begin: Begin; view: BroughtView }) {
  const classes = useSignal<readonly string[]>([begin.choices.value.servo ?? "standard"]);
  useEffect(() => void begin.classes().then((found) => (classes.value = found), complainUnasked), []);
  const choose = (choice: Choices): void => void begin.choose(choice).catch(complain);
  return (
    <>
      <div class="begin">
        <Preview glb={view.picture} label={`${view.name} as it would begin, ${view.size}`} />
        <div class="stack">
          <Field label="Name of the prop">
            {(named) => <Typed {...named} autocomplete="off" value={begin.name.value} typing={(text) => (begin.name.value = text)} commit={(text) => (begin.name.value = text)} />}
          </Field>
          <p aria-live="polite">
            <strong>{view.size}</strong> <span class="quiet">front to back × side to side × height</span>
          </p>
          {view.units.length > 0 && (
            <Field label="Its files are drawn in">
              {(named) => (
                <Select
                  {...named}
                  options={[...asEachHasIt(view.unit, begin.choices.value.unit), ...view.units.map((unit) => [unit, UNITS[unit] ?? unit] as const)]}
                  value={view.unit ?? ""}
                  pick={(unit) => choose({ unit: unit === "" ? null : (unit as NonNullable<Choices["unit"]>) })}
                />
              )}
            </Field>
          )}
          {view.ups.length > 0 && (
            <Field label="Up in its files is">
              {(named) => (
                <Select
                  {...named}
                  options={[...asEachHasIt(view.up, begin.choices.value.up), ...view.ups.map((up) => [up, up] as const)]}
                  value={view.up ?? ""}
                  pick={(up) => choose({ up: up === "" ? null : (up as NonNullable<Choices["up"]>) })}
                />
              )}
            </Field>
          )}
          {view.may_stand.length > 0 && (
            <Field label="The part that stands">
              {(named) => <Select {...named} options={view.may_stand.map((part) => [part, part] as const)} value={view.stands} pick={(root) => choose({ root })} />}
            </Field>
          )}
          {view.drives > 0 && (
            <Field label="Servos to begin with">
              {(named) => (
                <Select
                  {...named}
                  options={classes.value.map((kind) => [kind, kind.replaceAll("_", " ")] as const)}
                  value={begin.choices.value.servo ?? "standard"}
                  pick={(servo) => choose({ servo: servo as NonNullable<Choices["servo"]> })}
                />
              )}
            </Field>
          )}
        </div>
      </div>
      <h3>
        {view.parts.length} {view.parts.length === 1 ? "part" : "parts"}, {view.moving} moving {view.moving === 1 ? "joint" : "joints"}, {view.drives}{" "}
        {view.drives === 1 ? "drive" : "drives"}
      </h3>
      <div class="begin__parts">
        <Table caption="Parts that were found" heads={["part", "size", "triangles"]} rows={view.parts.map(({ name, size, triangles }) => [name, size, triangles === 0 ? "–" : String(triangles)])} />
      </div>
      {begin.left.value.length > 0 && <p class="caution caution--plain">{leftText(begin.left.value)}</p>}
      <Findings findings={view.findings} />
      {view.lacks.map((text) => (
        <Finding key={text} finding={{ level: "note", text, alone: text }} />
      ))}
    </>
  );
}

const MOST_NAMED = 5; // files that are named one by one

function leftText(paths: readonly string[]): string {
  const more = paths.length - MOST_NAMED;
  return `Not parts, so left out: ${paths.slice(0, MOST_NAMED).map(apart).join(", ")}${more > 0 ? ` and ${more} more` : ""}.`;
}
