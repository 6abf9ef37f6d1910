/** The joint whose servo is worst off: two rings about its origin, one across the other, seen from any side, and words. */

import { Group, Mesh, MeshBasicMaterial, TorusGeometry, Vector3 } from "three";
import type { JointView } from "../engine/protocol";
import type { Figure } from "./figure";
import type { Labels } from "./labels";

export interface Strained {
  readonly figure: Figure;
  readonly joint: JointView;
  say(words: string): void;
  remove(): void;
}

const SIZE = 0.03; // of the figure

export function markStrained(figure: Figure, joint: JointView, labels: Labels, colour: string): Strained | null {
  const node = figure.node(joint.child);
  if (!node) return null;
  const size = figure.bounds().getSize(new Vector3()).length() * SIZE;
  const shape = new TorusGeometry(size, size * 0.07, 8, 40);
  const material = new MeshBasicMaterial({ color: colour, depthTest: false, transparent: true });
  const rings = new Group();
  rings.quaternion.setFromUnitVectors(new Vector3(0, 0, 1), new Vector3(...joint.axis));
  for (const across of [0, Math.PI / 2]) {
    const ring = new Mesh(shape, material);
    ring.rotation.x = across;
    ring.renderOrder = 3; // seen through the parts that it is in
    ring.raycast = () => undefined;
    rings.add(ring);
  }
  node.add(rings);
  const label = labels.add("", node, new Vector3(), "strained");
  return {
    figure,
    joint,
    say: label.say,
    remove() {
      rings.removeFromParent();
      label.remove();
      shape.dispose();
      material.dispose();
    },
  };
}
