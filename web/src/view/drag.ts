/** A handle dragged: where a pointer takes a point along an arrow, or a direction about a ring. */

import { type Ray, Vector3 } from "three";

export interface Handle {
  readonly name: string;
  readonly kind: "arrow" | "ring";
  /** Along which it moves or about which it turns, of length 1. */
  readonly axis: Vector3;
}

/** A handle taken hold of by a ray, where the axis stood then; `size` is that of the handles in metres. */
export interface Way {
  readonly handle: Handle;
  readonly at: Vector3;
  readonly along: Vector3;
  readonly ray: Ray;
  readonly size: number;
}

const STEP_M = 0.001;
const STEP_TURN = Math.PI / 12;
export const RING = 0.8; // of the length of an arrow
export const FROM = 0.25; // where an arrow begins: at its very foot all of them meet
const ROUND = 48;
const FLAT = 0.25; // a ring is seen from its edge: the pointer's way along it counts, not its angle

/** Points along a handle of length 1 at the origin. */
export function points({ kind, axis }: Handle): Vector3[] {
  if (kind === "arrow") return Array.from({ length: 9 }, (_, step) => axis.clone().multiplyScalar(FROM + ((1.05 - FROM) * step) / 8));
  const [one, two] = across(axis);
  return Array.from({ length: ROUND }, (_, step) => {
    const turn = (step / ROUND) * 2 * Math.PI;
    return one.clone().multiplyScalar(RING * Math.cos(turn)).addScaledVector(two, RING * Math.sin(turn));
  });
}

/** The point moved along an arrow; in steps it comes to whole millimetres of the prop. */
export function moved({ handle: { axis }, at, ray: from }: Way, ray: Ray, inSteps: boolean): Vector3 {
  const by = along(at, axis, ray) - along(at, axis, from);
  const stands = at.dot(axis);
  const to = inSteps ? Math.round((stands + by) / STEP_M) * STEP_M : stands + by;
  return at.clone().addScaledVector(axis, to - stands);
}

/** The direction turned about a ring, in steps of 15 degrees from where it stood. */
export function turned({ handle: { axis }, at, along: direction, ray: from, size }: Way, ray: Ray, inSteps: boolean): Vector3 {
  const by = angle(at, axis, from, ray, size);
  return direction.clone().applyAxisAngle(axis, inSteps ? Math.round(by / STEP_TURN) * STEP_TURN : by);
}

/** How far along a line from `at` it comes nearest to a ray. */
function along(at: Vector3, axis: Vector3, ray: Ray): number {
  const between = at.clone().sub(ray.origin);
  const [a, b, c] = [axis.dot(ray.direction), axis.dot(between), ray.direction.dot(between)];
  const apart = 1 - a * a;
  return apart < 1e-6 ? 0 : (a * c - b) / apart;
}

/** By how much a pointer turns about a line, from one ray to another. */
function angle(at: Vector3, axis: Vector3, from: Ray, to: Ray, size: number): number {
  const [one, two] = across(axis);
  const start = onPlane(at, axis, from);
  const end = onPlane(at, axis, to);
  if (Math.abs(axis.dot(to.direction)) > FLAT && start && end) {
    const by = Math.atan2(end.dot(two), end.dot(one)) - Math.atan2(start.dot(two), start.dot(one));
    return Math.atan2(Math.sin(by), Math.cos(by));
  }
  // What is in front of the axis goes this way as it turns.
  const forward = from.direction.clone().cross(axis).normalize();
  return (along(at, forward, to) - along(at, forward, from)) / (size * RING);
}

function onPlane(at: Vector3, axis: Vector3, ray: Ray): Vector3 | null {
  const down = axis.dot(ray.direction);
  if (Math.abs(down) < 1e-6) return null;
  return ray.at(at.clone().sub(ray.origin).dot(axis) / down, new Vector3()).sub(at);
}

function across(axis: Vector3): [Vector3, Vector3] {
  const aside = Math.abs(axis.x) < 0.9 ? new Vector3(1, 0, 0) : new Vector3(0, 1, 0);
  const one = aside.cross(axis).normalize();
  return [one, axis.clone().cross(one)];
}
