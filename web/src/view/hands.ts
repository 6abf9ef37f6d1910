/** Taking hold of parts with mouse or finger. Python finds the pose; here is only where the pointer went. */

import { Plane, Raycaster, Vector2, Vector3 } from "three";
import type { Figure } from "./figure";
import { onMoves } from "./moves";
import { rayTo, type Stage } from "./stage";

export type Point = readonly [number, number, number];

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

/** A panel at work in the picture, which hears of presses in place of the hands. */
export interface Taker {
  /** A part was clicked at a point of its frame, or the empty room. */
  clicked(link: string | null, grip: Point | null): void;
  /** Whether a press takes hold of a part now; else it turns the view. */
  takesHold(): boolean;
  pulled(pull: Pull): void;
  released(): void;
}

const CLICK_PX = 5;

export function listenToHands(stage: Stage, figure: () => Figure | null, hand: () => Hand, hearer: Hearer, taker: () => Taker | null): void {
  const { canvas, camera, orbit } = stage;
  const caster = new Raycaster();
  const plane = new Plane();
  let pressed: Vector2 | null = null;
  let held: { link: string; grip: Point; by: Pick<Hearer, "pulled" | "released"> } | null = null;

  function aim(event: PointerEvent): void {
    caster.ray.copy(rayTo(stage, event));
  }

  function part(): { link: string; point: Vector3; grip: Point } | null {
    const shown = figure();
    const hit = shown && shown.under(caster);
    const link = hit && shown.linkOf(hit.object);
    const node = link ? shown.node(link) : null;
    return hit && link && node ? { link, point: hit.point, grip: node.worldToLocal(hit.point.clone()).toArray() } : null;
  }

  function press(event: PointerEvent): void {
    if (!event.isPrimary || event.button !== 0) return;
    pressed = new Vector2(event.clientX, event.clientY);
    const other = taker();
    if (other ? !other.takesHold() : hand() === "look") return;
    aim(event);
    const taken = part();
    if (!taken) return;
    orbit.enabled = false;
    canvas.setPointerCapture(event.pointerId);
    // The pointer moves in the plane that faces the viewer at the point taken hold of.
    plane.setFromNormalAndCoplanarPoint(camera.getWorldDirection(new Vector3()), taken.point);
    held = { link: taken.link, grip: taken.grip, by: other ?? hearer };
    if (other) other.clicked(taken.link, taken.grip);
    else hearer.chosen(taken.link);
  }

  function move(event: PointerEvent): void {
    if (!held || !event.isPrimary) return;
    aim(event);
    const target = caster.ray.intersectPlane(plane, new Vector3());
    if (target) held.by.pulled({ link: held.link, grip: held.grip, target: target.toArray() });
  }

  function release(event: PointerEvent): void {
    const from = pressed;
    pressed = null;
    if (held) {
      const { by } = held;
      held = null;
      orbit.enabled = true;
      by.released();
    } else if (from && from.distanceTo(new Vector2(event.clientX, event.clientY)) < CLICK_PX) {
      aim(event);
      const taken = part();
      const other = taker();
      if (other) other.clicked(taken?.link ?? null, taken?.grip ?? null);
      else hearer.chosen(taken?.link ?? null);
    }
  }

  // Before the orbit hears of it, so that a part in the hand does not turn the view.
  canvas.parentElement?.addEventListener("pointerdown", press, { capture: true });
  onMoves(canvas, move);
  canvas.addEventListener("pointerup", release);
  canvas.addEventListener("pointercancel", release);
}
