/** Taking hold of balls and pivots with mouse or finger. Python says what becomes of the linkage. */

import { Plane, Raycaster, Vector2, Vector3 } from "three";
import type { Grip } from "./linkages";
import { onMoves } from "./moves";
import type { Stage } from "./stage";

type Point = readonly [number, number, number];

export interface GripHearer {
  /** Pulled from the eye through a point, both in the picture. */
  pulled(grip: Grip, eye: Point, to: Point): void;
  released(): void;
  /** The pull was broken off: all stays as it was. */
  cancelled(): void;
}

const NEAR_PX = { mouse: 12, touch: 26 };

/** Before all other hands: a press near a grip is meant for it. */
export function listenToGrips(stage: Stage, grips: () => readonly Grip[], hearer: GripHearer): void {
  const { canvas, camera, orbit } = stage;
  const ray = new Raycaster();
  const plane = new Plane();
  let held: Grip | null = null;
  let pointer = 0; // that holds it

  function nearest(event: PointerEvent): Grip | null {
    const box = canvas.getBoundingClientRect();
    let [found, least]: [Grip | null, number] = [null, event.pointerType === "touch" ? NEAR_PX.touch : NEAR_PX.mouse];
    for (const grip of grips()) {
      const seen = grip.at.clone().project(camera);
      const [x, y] = [((seen.x + 1) / 2) * box.width, ((1 - seen.y) / 2) * box.height];
      const away = Math.hypot(event.clientX - box.left - x, event.clientY - box.top - y);
      if (seen.z < 1 && away < least) [found, least] = [grip, away];
    }
    return found;
  }

  function press(event: PointerEvent): void {
    if (!event.isPrimary || event.button !== 0 || event.target !== canvas) return;
    held = nearest(event);
    if (!held) return;
    event.stopImmediatePropagation();
    orbit.enabled = false;
    pointer = event.pointerId;
    canvas.setPointerCapture(pointer);
    plane.setFromNormalAndCoplanarPoint(camera.getWorldDirection(new Vector3()), held.at);
  }

  function move(event: PointerEvent): void {
    if (!event.isPrimary) return;
    if (!held) {
      if (event.buttons === 0) canvas.classList.toggle("over-grip", nearest(event) !== null);
      return;
    }
    const box = canvas.getBoundingClientRect();
    ray.setFromCamera(new Vector2(((event.clientX - box.left) / box.width) * 2 - 1, 1 - ((event.clientY - box.top) / box.height) * 2), camera);
    const to = ray.ray.intersectPlane(plane, new Vector3());
    if (to) hearer.pulled(held, camera.position.toArray(), to.toArray());
  }

  function end(how: "released" | "cancelled"): void {
    if (!held) return;
    held = null;
    orbit.enabled = true;
    if (canvas.hasPointerCapture(pointer)) canvas.releasePointerCapture(pointer);
    hearer[how]();
  }

  canvas.parentElement?.addEventListener("pointerdown", press, { capture: true });
  onMoves(canvas, move);
  canvas.addEventListener("pointerup", () => end("released"));
  canvas.addEventListener("pointercancel", () => end("cancelled"));
  addEventListener(
    "keydown",
    (event) => {
      if (event.key !== "Escape" || !held) return;
      event.stopPropagation();
      end("cancelled");
    },
    { capture: true },
  );
}
