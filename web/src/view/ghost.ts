/** Parts where they could be: translucent copies at other poses, and the way between them as a line. */

import { BufferAttribute, BufferGeometry, Group, Line, LineDashedMaterial, Mesh, MeshStandardMaterial, type Object3D } from "three";
import type { Floats } from "../engine/protocol";
import type { Figure } from "./figure";

export interface Ghost {
  /** Move the ghost to pose `step` of `transforms` (S, L, 16) or (L, 16). Links that stand as in `unlike` are left out. */
  place(transforms: Floats, step: number, unlike?: Floats): void;
  /** The copy of a link, where it is shown. */
  node(link: string): Object3D | null;
  remove(): void;
}

/** A ghost of those links in `which`, in the order of `links` of its transforms. */
export function createGhost(figure: Figure, links: readonly string[], which: ReadonlySet<string>, colour: string): Ghost {
  const group = new Group();
  const material = new MeshStandardMaterial({ color: colour, transparent: true, opacity: 0.28, depthWrite: false });
  const copies = links.flatMap((link, index) => {
    const node = which.has(link) ? figure.node(link) : null;
    return node ? [{ link, index, holder: copied(node, material) }] : [];
  });
  for (const { holder } of copies) group.add(holder);
  figure.object.parent?.add(group);

  return {
    place({ data }, step, unlike) {
      for (const { index, holder } of copies) {
        const at = (step * links.length + index) * 16;
        holder.matrix.fromArray(data, at);
        holder.visible = !unlike || differ(data, unlike.data, at);
      }
      group.updateMatrixWorld(true);
    },
    node: (link) => copies.find((copy) => copy.link === link && copy.holder.visible)?.holder ?? null,
    remove() {
      group.removeFromParent();
      material.dispose();
    },
  };
}

const APART = 1e-5; // of a turn or a metre; nearer than this, two parts are drawn as one

/** Whether a link stands elsewhere in the one than in the other; both hold its matrix at `at`. */
function differ(one: Float32Array, other: Float32Array, at: number): boolean {
  for (let i = at; i < at + 16; i += 1) if (Math.abs((one[i] ?? 0) - (other[i] ?? 0)) > APART) return true;
  return false;
}

function copied(node: Figure["object"]["children"][number], material: MeshStandardMaterial): Group {
  const holder = new Group();
  holder.matrixAutoUpdate = false;
  const linkFromWorld = node.matrixWorld.clone().invert();
  node.traverse((part) => {
    if (!(part instanceof Mesh) || !part.castShadow) return; // axes and outlines throw none
    const copy = new Mesh(part.geometry, material);
    copy.matrixAutoUpdate = false;
    copy.matrix.multiplyMatrices(linkFromWorld, part.matrixWorld);
    copy.raycast = () => undefined;
    holder.add(copy);
  });
  return holder;
}

/** Links that stand elsewhere in the last of the steps (S, L, 16) than in the first. */
export function moved(links: readonly string[], { data, shape }: Floats): ReadonlySet<string> {
  const last = ((shape[0] ?? 1) - 1) * links.length * 16;
  const differs = (link: number): boolean => {
    for (let at = link * 16; at < link * 16 + 16; at += 1) if (data[at] !== data[last + at]) return true;
    return false;
  };
  return new Set(links.filter((_, index) => differs(index)));
}

/** A way through space (S, 3) as a dashed line. */
export function trace(way: Floats, colour: string): Line {
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(way.data, 3));
  const line = new Line(geometry, new LineDashedMaterial({ color: colour, dashSize: 0.008, gapSize: 0.004 }));
  line.computeLineDistances();
  line.raycast = () => undefined;
  return line;
}
