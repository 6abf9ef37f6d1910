/** An axis in the picture before it is taken, and that of the joint that is being placed. */

import { BufferGeometry, ConeGeometry, Group, Line, LineBasicMaterial, LineDashedMaterial, LineLoop, Mesh, MeshBasicMaterial, Vector3 } from "three";
import { MM } from "./ground";
import type { Point } from "./hands";
import type { Stage } from "./stage";

export interface AxisMark {
  /** Put it through a point (metres) along a direction of length 1, with a ring of this radius (mm) where there is one. */
  show(at: Point, along: Point, radiusMm: number | null): void;
  hide(): void;
}

const ROUND = 64;
const LONG = 0.35; // of the size of the figure, to either side
const HEAD = 0.03;
const UP = new Vector3(0, 0, 1);

/** `word` stands at its end; one that is `dashed` is not taken yet. `size` is that of the figure in metres. */
export function createAxisMark(stage: Stage, word: string, dashed: boolean, colour: () => string, size: () => number): AxisMark {
  const group = new Group();
  group.visible = false;
  const seenThrough = { depthTest: false, transparent: true };
  const line = dashed ? new LineDashedMaterial({ ...seenThrough, dashSize: 0.04, gapSize: 0.025 }) : new LineBasicMaterial(seenThrough);
  const solid = new MeshBasicMaterial(seenThrough);
  const shaft = new Line(new BufferGeometry().setFromPoints([new Vector3(0, 0, -1), new Vector3(0, 0, 1)]), line);
  shaft.computeLineDistances();
  const head = new Mesh(new ConeGeometry(HEAD, HEAD * 3, 16), solid);
  head.rotation.x = Math.PI / 2;
  head.position.z = 1;
  const turns = Array.from({ length: ROUND }, (_, step) => (step / ROUND) * 2 * Math.PI);
  const rim = new LineLoop(new BufferGeometry().setFromPoints(turns.map((turn) => new Vector3(Math.cos(turn), Math.sin(turn), 0))), new LineBasicMaterial(seenThrough));
  const stretched = new Group();
  stretched.add(shaft, head);
  group.add(stretched, rim);
  group.traverse((part) => (part.renderOrder = 4));
  stage.scene.add(group);
  let label: { remove(): void } | null = null;

  function hide(): void {
    group.visible = false;
    label?.remove();
    label = null;
    stage.draw();
  }

  return {
    show(at, along, radiusMm) {
      if (!group.visible) {
        // Only once: a colour is asked of the whole page's styles, and this comes with every move of a pointer.
        const shown = colour();
        for (const material of [line, solid, rim.material]) material.color.set(shown);
        stretched.scale.setScalar(size() * LONG);
      }
      group.position.fromArray(at);
      group.quaternion.setFromUnitVectors(UP, new Vector3(...along));
      rim.visible = radiusMm !== null;
      rim.scale.setScalar((radiusMm ?? 1) * MM);
      group.visible = true;
      label ??= stage.labels.add(word, stretched, new Vector3(0, 0, 1), "axis");
      stage.draw();
    },
    hide,
  };
}
