/** Drives: what moves what at which address. Added, renamed, patched elsewhere, taken out; each is one step of undo. */

import { useSignal } from "@preact/signals";
import { type Bench, openPanel } from "../../bench";
import { ask } from "../../dialogs/ask";
import type { DriveView } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Caution } from "../../ui/caution";
import { Field, Typed } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { useRefusal } from "../../ui/refusal";
import type { Session } from "../../work/session";
import { Settings } from "../calibration/calibration";
import { AddDrive } from "./add-drive";
import { FindLinkage } from "./find-linkage";
import { LinkageCard } from "./linkage-card";
import "./drives.css";

const PATCH = ["servo", "joint", "universe", "address", "bits", "supply", "on_loss"];

export function Drives({ bench }: { bench: Bench }) {
  const { session } = bench;
  const adding = useSignal(false);
  const prop = session.prop.value;
  const drive = session.drive.value ?? prop?.drives[0];
  return (
    <div class="stack">
      <div class="row row--between">
        <h2>Drives</h2>
        <Button icon="add" words="Add a drive" kind="main" onClick={() => (adding.value = true)} />
      </div>
      <Caution />
      {prop?.drives.length === 0 && <p>No drive yet. A drive is one servo: its address, its end points, and the joint it moves.</p>}
      <ul class="drive-list" aria-label="Drives">
        {prop?.drives.map((each) => <Row key={each.name} session={session} drive={each} chosen={each === drive} />)}
      </ul>
      {prop && drive && <Chosen key={drive.name} bench={bench} drive={drive} />}
      {prop && drive && <LinkageCard key={`linkage ${drive.name}`} bench={bench} drive={drive} />}
      {prop && drive && <FindLinkage key={`find ${drive.name}`} bench={bench} drive={drive} />}
      <AddDrive session={session} open={adding} />
    </div>
  );
}

function Row({ session, drive, chosen }: { session: Session; drive: DriveView; chosen: boolean }) {
  const { name, joint, servo, patch } = drive;
  return (
    <li>
      <button type="button" class="button" aria-pressed={chosen} onClick={() => session.chooseDrive(name)}>
        <strong>{name}</strong>
        <span class="quiet">{patch}</span>
        <span class="quiet">
          moves <bdi>{joint}</bdi>, servo <bdi>{servo}</bdi>
        </span>
      </button>
    </li>
  );
}

function Chosen({ bench, drive }: { bench: Bench; drive: DriveView }) {
  const { session } = bench;
  const refusal = useRefusal();
  const patch = drive.fields.filter(({ path }) => PATCH.some((key) => path === `${drive.path}.${key}`));

  async function rename(to: string): Promise<void> {
    const name = to.trim();
    if (name === "" || name === drive.name) return;
    const params = { kind: "drives" as const, name: drive.name, new: name };
    if (await refusal.attempt(() => session.change(`Rename ${drive.name} to ${name}`, "rename", params, "all"))) session.chooseDrive(name);
  }

  async function patchNext(): Promise<void> {
    const { address } = await session.engine.ask("drive_offer", { universe: drive.universe });
    const next = address[drive.bits];
    if (next === null || next === undefined) throw new Error(`Universe ${drive.universe} has no address left behind the last one taken. Type one, or another universe.`);
    await session.change(`Patch ${drive.name} at ${next}`, "edit_all", { changes: { [`${drive.path}.address`]: next } });
  }

  async function remove(): Promise<void> {
    const { rows } = await session.engine.ask("goes_with", { kind: "drives", name: drive.name });
    const sure =
      rows.length === 0 ||
      (await ask({
        title: `Remove ${drive.name}?`,
        words: `With it would go: ${rows.join("; ")}. Undo brings all of it back.`,
        yes: "Remove all of it",
        no: "Keep it",
      }));
    if (sure) await session.change(`Remove ${drive.name}`, "remove", { kind: "drives", name: drive.name, with_all: true }, "all");
  }

  return (
    <fieldset class="stack">
      <legend>{drive.name}</legend>
      <Field label="Name">{(named) => <Typed {...named} value={drive.name} commit={(to) => void rename(to)} />}</Field>
      <Settings session={session} fields={patch} />
      <div class="row">
        <Button words="Next free address" onClick={() => void refusal.attempt(patchNext)} />
        <Button words="Calibrate" name={`Calibrate ${drive.name}`} onClick={() => calibrate(bench, drive)} />
        <Button icon="drop" words="Remove" name={`Remove ${drive.name}`} onClick={() => void refusal.attempt(remove)} />
      </div>
      <Findings findings={refusal.findings} />
    </fieldset>
  );
}

function calibrate(bench: Bench, drive: DriveView): void {
  bench.session.chooseDrive(drive.name);
  openPanel(bench, "calibration");
}
