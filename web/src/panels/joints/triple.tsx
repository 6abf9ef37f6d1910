/** Three numbers of a point or a direction. */

import { Typed } from "../../ui/field";
import type { Point } from "../../view/hands";

const AXES = ["x", "y", "z"] as const;

export function Triple({ name, unit, value, commit }: { name: string; unit?: string; value: Point; commit: (value: Point) => void }) {
  function set(axis: number, text: string): void {
    const number = Number(text);
    if (text.trim() === "" || !Number.isFinite(number) || number === value[axis]) return;
    const [x, y, z] = value.map((old, index) => (index === axis ? number : old));
    commit([x ?? 0, y ?? 0, z ?? 0]);
  }
  return (
    <fieldset class="joints__triple">
      <legend class="quiet">
        {name}
        {unit && `, ${unit}`}
      </legend>
      {AXES.map((axis, index) => (
        <Typed
          key={axis}
          type="number"
          step="any"
          class="input--number"
          aria-label={`${name} ${axis}${unit ? `, ${unit}` : ""}`}
          value={String(Number((value[index] ?? 0).toFixed(4)))}
          typing={(text) => set(index, text)}
          commit={(text) => set(index, text)}
        />
      ))}
    </fieldset>
  );
}
