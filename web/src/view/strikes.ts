/** Parts that stand too near: a line between their nearest points, its length in words, an outline around both. */

import {
  BufferGeometry,
  Group,
  LineBasicMaterial,
  LineSegments,
  Mesh,
  MeshBasicMaterial,
  OctahedronGeometry,
  Vector3,
} from "three";
import type { NearPair, NearView } from "../engine/protocol";
import { downward, upward } from "../ui/numbers";
import type { Figure } from "./figure";
import type { Label, Labels } from "./labels";
import { outline, type Outline, type Stroke } from "./outline";

const SPOT_M = 0.002;

export interface Strikes {
  /** Show these pairs in place of those before. */
  show(near: NearView): void;
  remove(): void;
}

/** Overlapping parts get a solid outline and a cross-shaped spot, parts that are only near a dashed one and a line. */
export function createStrikes(figure: Figure, labels: Labels, colours: { bad: string; warn: string }): Strikes {
  const group = new Group();
  figure.object.parent?.add(group);
  const line = new LineBasicMaterial({ color: colours.bad, depthTest: false, transparent: true });
  const spot = new MeshBasicMaterial({ color: colours.bad, depthTest: false, transparent: true });
  const shape = new OctahedronGeometry(SPOT_M);
  const lines = new LineSegments(new BufferGeometry(), line);
  lines.renderOrder = 3; // seen through the parts, where most of them would hide it
  lines.raycast = () => undefined;
  const spots: Mesh[] = [];
  const words: Label[] = [];
  const strokes = new Map<string, { stroke: Stroke; outline: Outline }>();
  group.add(lines);

  function clear(): void {
    for (const mesh of spots.splice(0)) mesh.removeFromParent();
    for (const word of words.splice(0)) word.remove();
  }

  function outlineAll(wanted: ReadonlyMap<string, Stroke>): void {
    for (const [link, drawn] of [...strokes]) {
      if (wanted.get(link) === drawn.stroke) continue;
      drawn.outline.remove();
      strokes.delete(link);
    }
    for (const [link, stroke] of wanted) {
      const node = figure.node(link);
      if (!node || strokes.has(link)) continue;
      const colour = stroke === "solid" ? colours.bad : colours.warn;
      strokes.set(link, { stroke, outline: outline(node, stroke, colour) });
    }
  }

  return {
    show({ pairs, points }) {
      clear();
      const places = pairs.map((_, index) => ends(points.data, index));
      lines.geometry.dispose();
      lines.geometry = new BufferGeometry().setFromPoints(places.flat());
      pairs.forEach((near, index) => {
        const [a, b] = places[index] ?? [];
        if (!a || !b) return;
        for (const end of [a, b]) {
          const mesh = new Mesh(shape, spot);
          mesh.position.copy(end);
          mesh.renderOrder = 3;
          mesh.raycast = () => undefined;
          spots.push(mesh);
          group.add(mesh);
        }
        words.push(labels.add(nearText(near), null, a.clone().lerp(b, 0.5), "strike"));
      });
      outlineAll(strokesOf(pairs));
    },
    remove() {
      clear();
      outlineAll(new Map());
      group.removeFromParent();
      lines.geometry.dispose();
      shape.dispose();
      line.dispose();
      spot.dispose();
    },
  };
}

/** How far two parts are from each other, in words. */
export function nearText({ mm, depth_mm }: NearPair): string {
  return mm > 0 ? `${downward(mm, 1)} mm` : `overlap ${upward(depth_mm, 1)} mm`;
}

/** The nearest points of pair `index` (metres, in the picture). */
export function ends(points: Float32Array, index: number): [Vector3, Vector3] {
  return [new Vector3().fromArray(points, index * 6), new Vector3().fromArray(points, index * 6 + 3)];
}

/** One outline a link: solid where it overlaps anything. */
function strokesOf(pairs: readonly NearPair[]): ReadonlyMap<string, Stroke> {
  const wanted = new Map<string, Stroke>();
  for (const { pair, mm } of pairs) {
    for (const link of pair) if (mm === 0 || !wanted.has(link)) wanted.set(link, mm === 0 ? "solid" : "dashed");
  }
  return wanted;
}
