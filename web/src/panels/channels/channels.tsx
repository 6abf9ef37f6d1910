/** Channels: one row a drive, from its value to what its joint does. */

import { useSignal, useSignalEffect } from "@preact/signals";
import type { Bench } from "../../bench";
import { Select } from "../../ui/field";
import type { Unit } from "../../ui/units";
import { Channel } from "./channel";
import "./channels.css";

const UNITS = [["value", "value"], ["percent", "percent"], ["16 bit", "16 bit"]] as const;

export function Channels({ bench: { session } }: { bench: Bench }) {
  const unit = useSignal<Unit>("value");
  const prop = session.prop.value;

  useSignalEffect(() => {
    const drive = session.chosen.value === null ? null : session.drive.value;
    if (drive) document.querySelector(`[data-drive="${CSS.escape(drive.name)}"].channel`)?.scrollIntoView({ block: "nearest" });
  });

  return (
    <div class="stack">
      <h2>Channels</h2>
      <div class="row row--between channels__top">
        <p class="quiet for-mouse">Arrow keys step by 1, Page Up and Page Down by 10.</p>
        <p class="quiet for-touch">Drag a slider, or tap its number.</p>
        <label class="row">
          <span class="quiet">show as</span>
          <Select options={UNITS} value={unit.value} pick={(to) => (unit.value = to as Unit)} class="input--fit" aria-label="Show values as" />
        </label>
      </div>
      <ul class="channels">
        {prop?.drives.map((drive, index) => (
          <Channel key={drive.name} session={session} prop={prop} drive={drive} index={index} unit={unit} />
        ))}
      </ul>
    </div>
  );
}
