/** Joint axes and link names, on demand. Each hangs on its link, so it moves with it. */

import {
  Box3,
  BufferGeometry,
  ConeGeometry,
  Group,
  LineBasicMaterial,
  LineSegments,
  Mesh,
  MeshBasicMaterial,
  type Object3D,
  TorusGeometry,
  Vector3,
} from "three";
import type { JointView } from "../engine/protocol";
import type { Figure } from "./figure";
import type { Label, Labels } from "./labels";

export interface Marks {
  remove(): void;
}

/** Axes: a ring about the line for a joint that turns, two arrow heads along it for one that slides. */
export function showAxes(figure: Figure, joints: readonly JointView[], labels: Labels, colour: string): Marks {
  const size = figure.bounds().getSize(new Vector3()).length() * 0.05;
  const line = new LineBasicMaterial({ color: colour, depthTest: false, transparent: true });
  const solid = new MeshBasicMaterial({ color: colour, depthTest: false, transparent: true });
  const drawn: Object3D[] = [];
  const words: Label[] = [];

  for (const joint of joints) {
    const node = figure.node(joint.child);
    if (!node) continue;
    const axis = new Group();
    axis.quaternion.setFromUnitVectors(new Vector3(0, 0, 1), new Vector3(...joint.axis));
    axis.add(
      new LineSegments(new BufferGeometry().setFromPoints([new Vector3(0, 0, -size), new Vector3(0, 0, size)]), line),
    );
    if (joint.type === "revolute") axis.add(new Mesh(new TorusGeometry(size * 0.35, size * 0.035, 6, 32), solid));
    else axis.add(head(size, 1, solid), head(size, -1, solid));
    axis.traverse((part) => {
      part.renderOrder = 2; // axes are seen through the parts they are in
      part.raycast = () => undefined;
    });
    node.add(axis);
    drawn.push(axis);
    const tip = new Vector3(...joint.axis).multiplyScalar(size);
    words.push(labels.add(joint.name, node, tip, "axis"));
  }

  return {
    remove() {
      for (const object of drawn) object.removeFromParent();
      for (const word of words) word.remove();
      line.dispose();
      solid.dispose();
    },
  };
}

function head(size: number, way: 1 | -1, material: MeshBasicMaterial): Mesh {
  const cone = new Mesh(new ConeGeometry(size * 0.12, size * 0.3, 12), material);
  cone.rotation.x = (way * Math.PI) / 2;
  cone.position.z = way * size;
  return cone;
}

/** The name of each link, in the middle of its shape. */
export function showNames(figure: Figure, labels: Labels): Marks {
  const words = figure.links.map((link) => {
    const node = figure.node(link) as Object3D;
    const middle = new Box3().setFromObject(node).getCenter(new Vector3());
    return labels.add(link, node, node.worldToLocal(middle), "name");
  });
  return { remove: () => words.forEach((word) => word.remove()) };
}
