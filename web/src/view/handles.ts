/**
 * Arrows and rings at an axis, to move and to turn it with mouse or finger. What is dragged here is drawn; what the
 * place means to the prop Python says. Arrows and rings go by the axes of the prop: x to the front, y to the left, z up.
 */

import { ConeGeometry, CylinderGeometry, Group, Mesh, MeshBasicMaterial, type Object3D, TorusGeometry, Vector3 } from "three";
import { FROM, type Handle, moved, points, RING, turned, type Way } from "./drag";
import type { Point } from "./hands";
import { rayTo, shownColour, type Stage } from "./stage";

export interface Handles {
  /** Stand at an axis: a point (metres) and a direction of length 1. */
  show(at: Point, along: Point): void;
  hide(): void;
}

export interface HandleHearer {
  /** It is dragged there; nothing is decided yet. */
  dragged(at: Point, along: Point): void;
  /** It was let go there. */
  dropped(at: Point, along: Point): void;
  /** It went back to where it was. */
  cancelled(): void;
}

const HANDLES: readonly Handle[] = [
  { name: "x", kind: "arrow", axis: new Vector3(0, 0, 1) },
  { name: "y", kind: "arrow", axis: new Vector3(1, 0, 0) },
  { name: "z", kind: "arrow", axis: new Vector3(0, 1, 0) },
  { name: "about x", kind: "ring", axis: new Vector3(0, 0, 1) },
  { name: "about y", kind: "ring", axis: new Vector3(1, 0, 0) },
  { name: "about z", kind: "ring", axis: new Vector3(0, 1, 0) },
];
const SHARE = 0.26; // of half the height of the view: how long an arrow is
const REACH_PX = { mouse: 12, touch: 26 }; // from a handle, to take hold of it
const ALIKE = 0.98; // a ring about the axis itself turns nothing
const THICK = 0.016;

/** `snaps` tells whether a drag goes in steps; Shift is the other way while it is held. */
export function createHandles(stage: Stage, snaps: () => boolean, hearer: HandleHearer): Handles {
  const { canvas, camera, orbit } = stage;
  const group = new Group();
  group.visible = false;
  const solid = new MeshBasicMaterial({ depthTest: false, transparent: true });
  const drawn = new Map(HANDLES.map((handle) => [handle, drawnHandle(handle, solid)]));
  for (const object of drawn.values()) group.add(object);
  group.traverse((part) => (part.renderOrder = 5));
  stage.scene.add(group);

  let words: { remove(): void }[] = [];
  const at = new Vector3();
  const along = new Vector3(0, 0, 1);
  let drag: { way: Way; pointer: number; at: Vector3; along: Vector3; moves: boolean } | null = null;

  function size(): number {
    return at.distanceTo(camera.position) * Math.tan((camera.fov * Math.PI) / 360) * SHARE;
  }

  function stand(): void {
    group.position.copy(at);
    group.scale.setScalar(size());
    for (const [handle, object] of drawn) object.visible = shown(handle);
  }

  const shown = (handle: Handle): boolean => handle.kind === "arrow" || Math.abs(handle.axis.dot(along)) < ALIKE;

  /** The handle that a pointer is on, the nearest if there are several. */
  function under(event: PointerEvent): Handle | null {
    const box = canvas.getBoundingClientRect();
    let nearest: Handle | null = null;
    let least = event.pointerType === "mouse" ? REACH_PX.mouse : REACH_PX.touch;
    for (const handle of HANDLES.filter(shown)) {
      for (const point of points(handle)) {
        const seen = point.multiplyScalar(size()).add(at).project(camera);
        const away = Math.hypot(event.clientX - box.left - ((seen.x + 1) / 2) * box.width, event.clientY - box.top - ((1 - seen.y) / 2) * box.height);
        if (away < least) [nearest, least] = [handle, away];
      }
    }
    return nearest;
  }

  function press(event: PointerEvent): void {
    if (!group.visible || drag || event.target !== canvas || !event.isPrimary || event.button !== 0) return;
    const handle = under(event);
    if (!handle) return;
    event.stopPropagation(); // neither the view nor a part is meant
    canvas.setPointerCapture(event.pointerId);
    canvas.focus({ preventScroll: true });
    const ray = rayTo(stage, event);
    drag = { way: { handle, at: at.clone(), along: along.clone(), ray, size: size() }, pointer: event.pointerId, at: at.clone(), along: along.clone(), moves: false };
    orbit.enabled = false;
  }

  function move(event: PointerEvent): void {
    if (!drag) {
      if (event.target === canvas && event.pointerType === "mouse" && event.buttons === 0) canvas.style.cursor = group.visible && under(event) ? "move" : "";
      return;
    }
    if (event.pointerId !== drag.pointer) return;
    event.stopPropagation();
    const inSteps = snaps() !== event.shiftKey;
    if (drag.way.handle.kind === "arrow") at.copy(moved(drag.way, rayTo(stage, event), inSteps));
    else along.copy(turned(drag.way, rayTo(stage, event), inSteps));
    drag.moves = true;
    stand();
    stage.draw();
    hearer.dragged(at.toArray(), along.toArray());
  }

  function end(): void {
    if (drag && canvas.hasPointerCapture(drag.pointer)) canvas.releasePointerCapture(drag.pointer);
    drag = null;
    orbit.enabled = true;
  }

  function release(event: PointerEvent): void {
    if (!drag || event.pointerId !== drag.pointer) return;
    event.stopPropagation();
    const { moves } = drag;
    end();
    if (moves) hearer.dropped(at.toArray(), along.toArray());
  }

  function cancel(): void {
    if (!drag) return;
    at.copy(drag.at);
    along.copy(drag.along);
    end();
    stand();
    stage.draw();
    hearer.cancelled();
  }

  // On what holds the canvas, and on the way in: before the orbit and the hands hear of it.
  const holder = canvas.closest<HTMLElement>("#stage") ?? document.body;
  holder.addEventListener("pointerdown", press, { capture: true });
  holder.addEventListener("pointermove", move, { capture: true });
  holder.addEventListener("pointerup", release, { capture: true });
  holder.addEventListener("pointercancel", cancel, { capture: true });
  addEventListener(
    "keydown",
    (event) => {
      if (event.key !== "Escape" || !drag) return;
      event.stopPropagation();
      cancel();
    },
    { capture: true },
  );
  orbit.addEventListener("change", () => group.visible && stand());

  return {
    show(where, direction) {
      if (drag) return; // it is in the hand
      at.fromArray(where);
      along.fromArray(direction);
      solid.color.set(shownColour("--accent"));
      group.visible = true;
      stand();
      for (const word of words) word.remove();
      words = HANDLES.filter(shown).map((handle) => stage.labels.add(handle.kind === "arrow" ? handle.name : `${handle.name.slice(-1)}°`, group, wordAt(handle), "handle"));
      stage.draw();
    },
    hide() {
      cancel();
      group.visible = false;
      for (const word of words.splice(0)) word.remove();
      stage.draw();
    },
  };
}

function wordAt(handle: Handle): Vector3 {
  const all = points(handle);
  return all[handle.kind === "arrow" ? all.length - 1 : Math.round(all.length / 8)] ?? new Vector3();
}

function drawnHandle({ kind, axis }: Handle, solid: MeshBasicMaterial): Object3D {
  const object = new Group();
  if (kind === "ring") object.add(new Mesh(new TorusGeometry(RING, THICK, 6, 64), solid));
  else {
    const shaft = new Mesh(new CylinderGeometry(THICK, THICK, 1 - FROM, 8), solid);
    const head = new Mesh(new ConeGeometry(0.07, 0.2, 12), solid);
    shaft.position.z = (1 + FROM) / 2;
    head.position.z = 1;
    for (const part of [shaft, head]) part.rotation.x = Math.PI / 2;
    object.add(shaft, head);
  }
  object.quaternion.setFromUnitVectors(new Vector3(0, 0, 1), axis);
  return object;
}
