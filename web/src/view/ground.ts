/** The ground: a grid in round steps of mm, a ruler along its front edge, and the shadow. */

import {
  type Box3,
  BufferGeometry,
  Group,
  LineBasicMaterial,
  LineSegments,
  Mesh,
  type Object3D,
  PlaneGeometry,
  ShadowMaterial,
  Vector3,
} from "three";
import type { Label, Labels } from "./labels";

export interface Ground {
  readonly object: Object3D;
  fit(bounds: Box3, labels: Labels): void;
  paint(colour: string): void;
  /** Whether the shadow is drawn. */
  shade(on: boolean): void;
}

export const MM = 0.001; // the view is in metres
const STEPS_MM = [5, 10, 20, 50, 100, 200, 500, 1000];
const SQUARES_ACROSS = 12;
const EVERY_WHICH_LABELLED = 2;

export function createGround(): Ground {
  const group = new Group();
  const fine = new LineBasicMaterial({ transparent: true, opacity: 0.35 });
  const lines = new LineSegments(new BufferGeometry(), fine);
  const shadow = new Mesh(new PlaneGeometry(1, 1), new ShadowMaterial({ opacity: 0.28 }));
  shadow.receiveShadow = true;
  shadow.rotation.x = -Math.PI / 2;
  group.add(lines, shadow);
  let ruler: Label[] = [];

  function fit(bounds: Box3, labels: Labels): void {
    const size = bounds.getSize(new Vector3());
    const middle = bounds.getCenter(new Vector3());
    const reach = Math.max(size.x, size.z, size.y / 2, 20 * MM) * 1.25;
    const step = (STEPS_MM.find((mm) => reach / (mm * MM) <= SQUARES_ACROSS) ?? 1000) * MM;
    const half = Math.ceil(reach / 2 / step);
    group.position.set(Math.round(middle.x / step) * step, Math.min(bounds.min.y, 0), Math.round(middle.z / step) * step);
    lines.geometry.dispose();
    lines.geometry = grid(half, step);
    shadow.scale.setScalar(half * step * 4);
    shadow.position.y = -0.2 * MM; // just under the lines, or they flicker

    for (const label of ruler) label.remove();
    ruler = [];
    for (let square = 0; square <= half * 2; square += EVERY_WHICH_LABELLED) {
      const mm = Math.round((square * step) / MM);
      ruler.push(labels.add(`${mm}`, group, new Vector3((square - half) * step, 0, (half + 0.4) * step), "ruler", "mm"));
    }
  }

  return { object: group, fit, paint: (colour) => void fine.color.set(colour), shade: (on) => void (shadow.visible = on) };
}

/** Lines of a square grid, `half` squares to each side, with the ticks of a ruler outside its front edge. */
function grid(half: number, step: number): BufferGeometry {
  const points: Vector3[] = [];
  const edge = half * step;
  for (let square = -half; square <= half; square += 1) {
    const at = square * step;
    points.push(new Vector3(at, 0, -edge), new Vector3(at, 0, edge + 0.2 * step));
    points.push(new Vector3(-edge, 0, at), new Vector3(edge, 0, at));
  }
  return new BufferGeometry().setFromPoints(points);
}
