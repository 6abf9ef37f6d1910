/** Numbers with their units, as people write them. Values themselves are written and read by Python. */

export type Unit = "value" | "percent" | "16 bit";

/** A position with its unit, as rows and marks show it. */
export function positionText(position: number, unit: string): string {
  const text = position.toFixed(1);
  return `${Number(text) < 0 ? text.replace("-", "−") : text.replace("-", "")}${unit === "deg" ? "°" : ` ${unit}`}`;
}

/** A unit of the prop file as people write it. */
export function unitText(unit: string): string {
  return unit.replace("deg", "°").replace("us", "µs").replace("s2", "s²").replace("mm2", "mm²").replace("cm3", "cm³").replace("*", "·");
}
