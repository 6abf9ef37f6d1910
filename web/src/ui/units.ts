/** How a value is written: as it is, in percent of full scale, or in 16 bit. */

import type { DriveView } from "../engine/protocol";

export type Unit = "value" | "percent" | "16 bit";

const FULL_16 = 65535;

function scale(drive: DriveView, unit: Unit): number {
  if (unit === "value") return 1;
  return (unit === "percent" ? 100 : FULL_16) / drive.full_scale;
}

/** Text of a value in a unit. */
export function written(value: number, drive: DriveView, unit: Unit): string {
  return (value * scale(drive, unit)).toFixed(unit === "percent" ? 1 : 0);
}

/** The value that was typed, in the drive's own bits; null if it is no number. */
export function typed(text: string, drive: DriveView, unit: Unit): number | null {
  const number = Number(text.replace(",", "."));
  return text.trim() === "" || !Number.isFinite(number) ? null : Math.round(number / scale(drive, unit));
}

/** The value `count` steps of 1 in this unit away. */
export function stepped(value: number, count: number, drive: DriveView, unit: Unit): number {
  return held(Math.round(value + count / Math.min(1, scale(drive, unit))), drive);
}

/** The value, held within what the drive's bits can say. */
export function held(value: number, drive: DriveView): number {
  return Math.min(Math.max(value, 0), drive.full_scale);
}

/** A position with its unit, as rows and marks show it. */
export function positionText(position: number, unit: string): string {
  const text = position.toFixed(1);
  return `${Number(text) < 0 ? text.replace("-", "−") : text.replace("-", "")}${unit === "deg" ? "°" : ` ${unit}`}`;
}

/** A unit of the prop file as people write it. */
export function unitText(unit: string): string {
  return unit.replace("deg", "°").replace("us", "µs").replace("s2", "s²").replace("cm3", "cm³").replace("*", "·");
}
