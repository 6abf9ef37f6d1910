/** Loads in words: how much of its stall torque a servo needs, and what that means for it. */

import type { Load, StrengthView } from "../../engine/protocol";
import type { IconName } from "../../ui/icon";
import { short } from "../../ui/numbers";

export const ICONS: Readonly<Record<Load["strain"], IconName>> = { cool: "check", warm: "near", hot: "warning", stalls: "error", unknown: "help" };

export function percent({ share }: Load): string {
  return share === null ? "" : `${Math.round(share * 100)} %`;
}

/** A torque against the stall torque, such as 0.78 of 2.40 N·m. */
export function torqueText({ torque_nm }: Load, stall: number | null): string {
  if (torque_nm === null) return "dead point: no bound";
  const torque = short(Math.abs(torque_nm));
  return stall === null ? `${torque} N·m` : `${torque} of ${short(stall)} N·m`;
}

/** All of it, for those who hear the page. */
export function loadText(load: Load, stall: number | null, { strains }: StrengthView): string {
  return [torqueText(load, stall), percent(load), strains[load.strain]].filter(Boolean).join(", ");
}
