/** What saving would change in the folder, file by file and line by line, before anything is written. */

import { type Signal, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { Button } from "../ui/button";
import { Dialog } from "../ui/dialog";
import { Findings } from "../ui/finding";
import { Icon } from "../ui/icon";
import { useRefusal } from "../ui/refusal";
import { say } from "../ui/toasts";
import type { Line } from "../engine/protocol";
import { ChangedOnDisk, type Difference, type FileDifference } from "../work/doors";
import type { Folder } from "../work/folder";
import "./difference.css";

const KINDS: Record<FileDifference["kind"], string> = { new: "new", changed: "changed", removed: "is removed" };
const SIGNS: Record<Line["mark"], string> = { "+": "+", "-": "−", " ": "" };

export function DifferenceDialog({ open, folder }: { open: Signal<boolean>; folder: Folder }) {
  return (
    <Dialog title="Save into the folder" open={open} wide>
      <Shown folder={folder} close={() => (open.value = false)} />
    </Dialog>
  );
}

function Shown({ folder, close }: { folder: Folder; close: () => void }) {
  const shown = useSignal<Difference | null>(null);
  const wins = useSignal<ReadonlySet<string>>(new Set());
  const saving = useSignal(false);
  const refusal = useRefusal();
  const state = folder.onDisk.value?.state;

  async function compare(): Promise<void> {
    shown.value = await folder.difference();
  }
  // Anew whenever the folder changes: what is saved is what is shown.
  useEffect(() => {
    if (!saving.peek()) void refusal.attempt(compare);
  }, [state]);

  async function save(difference: Difference): Promise<void> {
    saving.value = true;
    const done = await refusal.attempt(async () => {
      try {
        const { saved, left } = await folder.save(difference, [...wins.value]);
        const stays = left.length > 0 ? ` Left as on disk: ${left.join(", ")}.` : "";
        say(`Saved into ${difference.where}: ${saved.join(", ") || "nothing"}.${stays}`);
      } catch (problem) {
        if (problem instanceof ChangedOnDisk) await compare();
        throw problem;
      }
    });
    saving.value = false;
    if (done) close();
  }

  const difference = shown.value;
  const told = <Findings findings={refusal.findings} />;
  if (!difference) return <div role="status">{refusal.findings.length > 0 ? told : <p class="quiet">Comparing with the folder…</p>}</div>;
  const count = difference.files.filter(({ path, meanwhile }) => !meanwhile || wins.value.has(path)).length;
  return (
    <>
      <p class="quiet difference__where">{difference.where}</p>
      <div role="status" class="stack">
        {told}
        {difference.files.length === 0 && <p>The folder has all of this already. There is nothing to save.</p>}
      </div>
      {difference.files.map((file) => (
        <File
          key={file.path}
          file={file}
          wins={wins.value.has(file.path)}
          choose={(mine) => (wins.value = new Set([...wins.value].filter((path) => path !== file.path).concat(mine ? [file.path] : [])))}
        />
      ))}
      <div class="row">
        <Button words={difference.files.length === 0 ? "Close" : "Cancel"} onClick={close} />
        {difference.files.length > 0 && (
          <Button
            icon="save"
            words={count === 0 ? "Save" : `Save ${count} ${count === 1 ? "file" : "files"}`}
            kind="main"
            disabled={count === 0}
            off={saving.value}
            onClick={() => void save(difference)}
          />
        )}
      </div>
    </>
  );
}

function File({ file, wins, choose }: { file: FileDifference; wins: boolean; choose: (mine: boolean) => void }) {
  const { path, kind, come, go, parts, words, meanwhile } = file;
  const counted = [come > 0 && `${come} ${come === 1 ? "line comes" : "lines come"}`, go > 0 && `${go} ${go === 1 ? "line goes" : "lines go"}`];
  const about = [KINDS[kind], ...counted, words].filter(Boolean).join(", ");
  return (
    <section class="difference stack stack--close" aria-label={path}>
      <h3 class="difference__path">
        {path} <span class="quiet">{about}</span>
      </h3>
      {meanwhile && (
        <div class="finding finding--warning">
          <Icon name="warning" />
          <div class="stack stack--close">
            <span>This file changed on disk meanwhile, or lay there before. It is left as it is there unless you say otherwise.</span>
            <label class="check">
              <input type="checkbox" checked={wins} onChange={({ currentTarget }) => choose(currentTarget.checked)} />
              Replace it with mine
            </label>
          </div>
        </div>
      )}
      {parts.length > 0 && (
        <div class="difference__lines" tabIndex={0} role="group" aria-label={`Lines of ${path}`}>
          {parts.map((part, index) => (
            <div key={index} class="difference__part">
              {part.map((line, at) => <OneLine key={at} line={line} />)}
            </div>
          ))}
        </div>
      )}
    </section>
  );
}

/** A line with its number and its sign, which say the same as the colour. */
function OneLine({ line: { mark, number, text } }: { line: Line }) {
  const Tag = mark === "+" ? "ins" : mark === "-" ? "del" : "span";
  return (
    <Tag class="difference__line">
      <span class="difference__number">{number}</span>
      <span class="difference__sign">{SIGNS[mark]}</span>
      <span class="difference__text">{text}</span>
    </Tag>
  );
}
