/** Loads in words: how much of its stall torque a servo needs, and what that means for it. */

import type { Load, StrengthView } from "../../engine/protocol";
import type { IconName } from "../../ui/icon";
import { downward, upward } from "../../ui/numbers";

export const ICONS: Readonly<Record<Load["strain"], IconName>> = { cool: "check", warm: "near", hot: "warning", stalls: "error", unknown: "help" };

export function percent({ share }: Load): string {
  return share === null ? "" : `${upward(share * 100, 0)} %`;
}

/** A torque in so many digits, either way never less than it is. */
export function torqueSize(torque_nm: number): string {
  const size = upward(Math.abs(torque_nm), 2);
  return torque_nm < 0 && Number(size) !== 0 ? `−${size}` : size;
}

/** A torque against the stall torque, such as 0.78 of 2.40 N·m. */
export function torqueText({ torque_nm }: Load, stall: number | null): string {
  if (torque_nm === null) return "dead point: no bound";
  const torque = torqueSize(Math.abs(torque_nm));
  return stall === null ? `${torque} N·m` : `${torque} of ${downward(stall, 2)} N·m`;
}

/** All of it, for those who hear the page. */
export function loadText(load: Load, stall: number | null, { strains }: StrengthView): string {
  return [torqueText(load, stall), percent(load), strains[load.strain]].filter(Boolean).join(", ");
}
