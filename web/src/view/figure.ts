/** The prop in the picture: one node a link, each set to the transform that Python gives. */

import { Box3, Group, type Material, Mesh, type Object3D } from "three";
import { GLTFLoader } from "three/addons/loaders/GLTFLoader.js";
import type { Floats } from "../engine/protocol";

export interface Figure {
  readonly object: Group;
  readonly links: readonly string[];
  node(link: string): Object3D | null;
  /** The link that a mesh belongs to. */
  linkOf(mesh: Object3D): string | null;
  /** Put every link where world_from_link (L, 16) says, in the order of `links`. */
  place(links: readonly string[], transforms: Floats): void;
  bounds(): Box3;
  dispose(): void;
}

/** A figure from a GLB that posekit wrote: each node of a link says so in its extras. */
export async function loadFigure(glb: ArrayBuffer): Promise<Figure> {
  const { scene } = await new GLTFLoader().parseAsync(glb, "");
  scene.updateMatrixWorld(true);
  const nodes = new Map<string, Object3D>();
  scene.traverse((node) => {
    const link: unknown = node.userData["link"];
    if (typeof link === "string") nodes.set(link, node);
  });

  // Python gives world_from_link, so the links stand side by side here, not one within the other.
  const object = new Group();
  for (const node of nodes.values()) object.attach(node);
  const owners = new Map<Object3D, string>();
  for (const [name, node] of nodes) {
    node.updateMatrix();
    node.matrixAutoUpdate = false;
    node.traverse((part) => {
      if (!(part instanceof Mesh)) return;
      owners.set(part, name);
      part.castShadow = true;
      part.receiveShadow = true;
    });
  }

  return {
    object,
    links: [...nodes.keys()],
    node: (link) => nodes.get(link) ?? null,
    linkOf: (mesh) => owners.get(mesh) ?? null,
    place(names, { data }) {
      names.forEach((name, index) => {
        const node = nodes.get(name);
        if (!node) return;
        node.matrix.fromArray(data, index * 16);
        node.matrixWorldNeedsUpdate = true;
      });
      object.updateMatrixWorld(true);
    },
    bounds: () => new Box3().setFromObject(object),
    dispose() {
      object.removeFromParent();
      object.traverse((part) => {
        if (!(part instanceof Mesh)) return;
        part.geometry.dispose();
        for (const material of [part.material].flat() as Material[]) material.dispose();
      });
    },
  };
}
