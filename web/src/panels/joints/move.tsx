/** The axis moved by arrows and rings in the picture, or by its numbers. */

import { useSignal, useSignalEffect } from "@preact/signals";
import type { PlacedJoint } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { askAll } from "../../ui/typed-number";
import type { Point } from "../../view/hands";
import { FoundAxisNote } from "./found";
import type { Jointer } from "./jointer";
import { Triple } from "./triple";

export function Move({ jointer, joint }: { jointer: Jointer; joint: PlacedJoint }) {
  const { snap, dragged } = jointer;
  const point = useSignal<Point>(joint.axis.point_mm);
  const direction = useSignal<Point>(joint.axis.direction);
  useSignalEffect(() => {
    const now = jointer.joint.value;
    if (now) [point.value, direction.value] = [now.axis.point_mm, now.axis.direction];
  });
  return (
    <form
      class="stack"
      onSubmit={(event) => {
        event.preventDefault();
        const form = event.currentTarget;
        void jointer.asked(() => {
          askAll(form);
          return jointer.type(point.value, direction.value);
        });
      }}
    >
      <p class="quiet">
        Drag an arrow to move the axis, a ring to turn it. <span class="for-mouse">Shift drags freely, or in steps where they are off; Escape puts it back.</span>
      </p>
      <label class="check">
        <input type="checkbox" checked={snap.value} onChange={(event) => (snap.value = event.currentTarget.checked)} />
        In steps of 1 mm and 15°
      </label>
      <p class="number joints__now" role="status">
        {dragged.value ? dragged.value.text : ""}
      </p>
      <FoundAxisNote jointer={jointer} />
      <Triple name="place" unit="mm" value={point.value} commit={(to) => (point.value = to)} />
      <Triple name="direction" value={direction.value} commit={(to) => (direction.value = to)} />
      <div class="row">
        <Button type="submit" words="Show it there" />
      </div>
    </form>
  );
}
