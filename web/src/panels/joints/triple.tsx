/** Three numbers of a point or a direction. */

import { Numeral } from "../../ui/numeral";
import { takenAlways } from "../../ui/typed-number";
import type { Point } from "../../view/hands";

const AXES = ["x", "y", "z"] as const;

export function Triple({ name, unit, value, commit }: { name: string; unit?: string; value: Point; commit: (value: Point) => void }) {
  function set(axis: number, number: number): void {
    if (number === value[axis]) return;
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
        <Numeral
          key={axis}
          aria-label={`${name} ${axis}${unit ? `, ${unit}` : ""}`}
          always
          value={String(Number((value[index] ?? 0).toFixed(4)))}
          exact={String(value[index] ?? 0)}
          typing={takenAlways((number) => set(index, number))}
          commit={takenAlways((number) => set(index, number))}
        />
      ))}
    </fieldset>
  );
}
