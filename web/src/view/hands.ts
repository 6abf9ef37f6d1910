/** Taking hold of parts with mouse or finger. Python finds the pose; here is only where the pointer went. */

import { Plane, Raycaster, Vector2, Vector3 } from "three";
import type { Figure } from "./figure";
import type { Stage } from "./stage";

type Point = readonly [number, number, number];

/** What a press on a part does: turn the view, turn the joint of the part, or take the part to a target. */
export type Hand = "look" | "turn" | "reach";

export interface Pull {
  readonly link: string;
  /** The point taken hold of, in the frame of the link. */
  readonly grip: Point;
  /** Where it is pulled to, in the frame of the picture. */
  readonly target: Point;
}

export interface Hearer {
  /** A part was clicked, or the empty room. */
  chosen(link: string | null): void;
  pulled(pull: Pull): void;
  released(): void;
}

const CLICK_PX = 5;

export function listenToHands(stage: Stage, figure: () => Figure | null, hand: () => Hand, hearer: Hearer): void {
  const { canvas, camera, orbit } = stage;
  const ray = new Raycaster();
  const plane = new Plane();
  let pressed: Vector2 | null = null;
  let held: { link: string; grip: Point } | null = null;

  function aim(event: PointerEvent): void {
    const box = canvas.getBoundingClientRect();
    const x = ((event.clientX - box.left) / box.width) * 2 - 1;
    const y = 1 - ((event.clientY - box.top) / box.height) * 2;
    ray.setFromCamera(new Vector2(x, y), camera);
  }

  function part(): { link: string; point: Vector3 } | null {
    const shown = figure();
    const hit = shown && ray.intersectObject(shown.object, true)[0];
    const link = hit && shown.linkOf(hit.object);
    return hit && link ? { link, point: hit.point } : null;
  }

  function press(event: PointerEvent): void {
    if (!event.isPrimary || event.button !== 0) return;
    pressed = new Vector2(event.clientX, event.clientY);
    if (hand() === "look") return;
    aim(event);
    const taken = part();
    const node = taken && figure()?.node(taken.link);
    if (!taken || !node) return;
    orbit.enabled = false;
    canvas.setPointerCapture(event.pointerId);
    // The pointer moves in the plane that faces the viewer at the point taken hold of.
    plane.setFromNormalAndCoplanarPoint(camera.getWorldDirection(new Vector3()), taken.point);
    held = { link: taken.link, grip: node.worldToLocal(taken.point.clone()).toArray() };
    hearer.chosen(taken.link);
  }

  function move(event: PointerEvent): void {
    if (!held || !event.isPrimary) return;
    aim(event);
    const target = ray.ray.intersectPlane(plane, new Vector3());
    if (target) hearer.pulled({ ...held, target: target.toArray() });
  }

  function release(event: PointerEvent): void {
    const from = pressed;
    pressed = null;
    if (held) {
      held = null;
      orbit.enabled = true;
      hearer.released();
    } else if (from && from.distanceTo(new Vector2(event.clientX, event.clientY)) < CLICK_PX) {
      aim(event);
      hearer.chosen(part()?.link ?? null);
    }
  }

  // Before the orbit hears of it, so that a part in the hand does not turn the view.
  canvas.parentElement?.addEventListener("pointerdown", press, { capture: true });
  canvas.addEventListener("pointermove", move);
  canvas.addEventListener("pointerup", release);
  canvas.addEventListener("pointercancel", release);
}
