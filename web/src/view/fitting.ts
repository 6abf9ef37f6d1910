/** From where, and in which angle, a figure fills the view. */

import { type Box3, Vector3 } from "three";

export const ANGLE_DEG = 35; // from bottom to top of a square view that a figure fills

/** Half of what a figure takes of the view [m], seen from any side and a little from above. */
export interface Size {
  readonly tall: number;
  readonly across: number;
}

const LEAST_M = 0.01; // of a figure that has no shapes yet, whose joints are marked all the same

export function sizeOf(bounds: Box3): Size {
  const { x, y, z } = bounds.getSize(new Vector3());
  const across = Math.max(Math.hypot(x, z) / 2, LEAST_M);
  return { tall: y / 2 + across * 0.3, across };
}

const SLOPE = Math.tan((ANGLE_DEG * Math.PI) / 360);

/** How far away a figure fills a square view. A view of another shape has another angle: nearer, it would look otherwise. */
export function distance({ tall, across }: Size): number {
  return (Math.max(tall, across) / SLOPE) * 1.06 + across * 0.6;
}

/** The angle [deg] from bottom to top in which a figure fills a view of this shape. */
export function angle({ tall, across }: Size, aspect: number): number {
  return (Math.atan((SLOPE * Math.max(tall, across / aspect)) / Math.max(tall, across)) * 360) / Math.PI;
}
