/** Bars of servos against their stall torque, with the lines of good practice; the same as a table. */

import type { ComponentChildren } from "preact";
import type { Load, StrengthView } from "../../engine/protocol";
import { Icon } from "../../ui/icon";
import { Table } from "../../ui/table";
import { short } from "../../ui/numbers";
import { loadText, percent, STRAINS, torqueText } from "./words";

/** What is drawn of one servo. */
export interface Barred {
  readonly drive: string;
  readonly load: Load;
  readonly stall: number | null;
}

interface BarProps extends Barred {
  readonly whole: StrengthView;
  /** What the bar is of, where that is not the drive alone. */
  readonly what?: string;
  readonly worst: boolean;
  readonly children?: ComponentChildren;
}

export function Bar({ drive, load, stall, whole, what, worst, children }: BarProps) {
  const { icon, words } = STRAINS[load.strain];
  return (
    <li class="strain" data-strain={load.strain} data-drive={drive}>
      <span class="strain__name">
        <strong>{what ?? drive}</strong>
        {worst && <span class="strain__worst">◎ worst</span>}
      </span>
      <span class="number strain__torque">{torqueText(load, stall)}</span>
      <div
        class="strain__bar"
        role="meter"
        aria-label={what ? `${drive}, ${what}` : drive}
        aria-valuemin={0}
        aria-valuemax={100}
        aria-valuenow={Math.round(load.bar * 100)}
        aria-valuetext={loadText(load, stall)}
      >
        <span class="strain__fill" style={{ inlineSize: `${load.bar * 100}%` }} />
        <span class="strain__line" style={{ insetInlineStart: `${whole.good * 100}%` }} />
        <span class="strain__line" style={{ insetInlineStart: `${whole.most * 100}%` }} />
      </div>
      <span class="strain__words">
        <span class="number">{percent(load)}</span> <Icon name={icon} /> {words}
      </span>
      {children}
    </li>
  );
}

/** What the lines in the bars are. */
export function Scale({ whole }: { whole: StrengthView }) {
  return (
    <div class="strain__scale" aria-hidden="true">
      <span style={{ insetInlineStart: "0%" }}>0</span>
      <span style={{ insetInlineStart: `${whole.good * 100}%` }}>⅓</span>
      <span style={{ insetInlineStart: `${whole.most * 100}%` }}>½</span>
      <span style={{ insetInlineStart: "100%" }}>stall</span>
    </div>
  );
}

export function BarTable({ caption, rows }: { caption: string; rows: readonly Barred[] }) {
  const cells = rows.map(({ drive, load, stall }) => [
    drive,
    load.torque_nm === null ? "dead point" : short(load.torque_nm),
    stall === null ? "not known" : short(stall),
    percent(load) || "–",
    STRAINS[load.strain].words,
  ]);
  return <Table caption={caption} heads={["drive", "torque N·m", "stall N·m", "share", "servo"]} rows={cells} />;
}
