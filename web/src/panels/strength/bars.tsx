/** Bars of servos against their stall torque, with the lines of good practice; the same as a table. */

import { Component, type ComponentChildren } from "preact";
import type { Load, StrengthView } from "../../engine/protocol";
import { Icon } from "../../ui/icon";
import { Table } from "../../ui/table";
import { downward } from "../../ui/numbers";
import { ICONS, loadText, percent, torqueSize, torqueText } from "./words";

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

/** Drawn anew only where what is read of it changes: torques change a little with every pose, what is written seldom. */
export class Bar extends Component<BarProps> {
  override shouldComponentUpdate(next: BarProps): boolean {
    return Boolean(next.children || this.props.children) || next.whole !== this.props.whole || written(next) !== written(this.props);
  }

  render({ drive, load, stall, whole, what, worst, children }: BarProps) {
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
          aria-valuenow={filled(load)}
          aria-valuetext={loadText(load, stall, whole)}
        >
          <span class="strain__fill" style={{ transform: `translateX(${filled(load) - 100}%)` }} />
          {whole.scale.slice(1, -1).map(([share]) => <span key={share} class="strain__line" style={{ insetInlineStart: `${share * 100}%` }} />)}
        </div>
        <span class="strain__words">
          <span class="number">{percent(load)}</span> <Icon name={ICONS[load.strain]} /> {whole.strains[load.strain]}
        </span>
        {children}
      </li>
    );
  }
}

/** How much of a bar is filled, in whole per cents. */
function filled({ bar }: Load): number {
  return Math.round(bar * 100);
}

/** All that is read of a bar, of figures as they are rounded there. */
function written({ drive, load, stall, what, worst }: BarProps): string {
  return [drive, what, worst, load.strain, filled(load), percent(load), torqueText(load, stall)].join("\n");
}

/** What the lines in the bars are. */
export function Scale({ whole }: { whole: StrengthView }) {
  return (
    <div class="strain__scale" aria-hidden="true">
      {whole.scale.map(([share, words]) => <span key={share} style={{ insetInlineStart: `${share * 100}%` }}>{words}</span>)}
    </div>
  );
}

export function BarTable({ caption, rows, whole }: { caption: string; rows: readonly Barred[]; whole: StrengthView }) {
  const cells = rows.map(({ drive, load, stall }) => [
    drive,
    load.torque_nm === null ? "dead point" : torqueSize(load.torque_nm),
    stall === null ? "not known" : downward(stall, 2),
    percent(load) || "–",
    whole.strains[load.strain] ?? "",
  ]);
  return <Table caption={caption} heads={["drive", "torque N·m", "stall N·m", "share", "servo"]} rows={cells} />;
}
