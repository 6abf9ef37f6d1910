/** The prop in the picture: one node a link, each set to the transform that Python gives. */

import { Box3, type BufferAttribute, type BufferGeometry, Group, type Intersection, type Material, Mesh, MeshLambertMaterial, MeshStandardMaterial, type Object3D, type Raycaster } from "three";
import { GLTFLoader } from "three/addons/loaders/GLTFLoader.js";
import type { Floats } from "../engine/protocol";
import { thinned } from "./thinned";

export interface Figure {
  readonly object: Group;
  readonly links: readonly string[];
  node(link: string): Object3D | null;
  /** The link that a mesh belongs to. */
  linkOf(mesh: Object3D): string | null;
  /** Put every link where world_from_link (L, 16) says, in the order of `links`. */
  place(links: readonly string[], transforms: Floats): void;
  bounds(): Box3;
  /** What a ray meets first, on the whole skin. */
  under(caster: Raycaster): Intersection | null;
  /** Fewer triangles and plainer light while something moves. */
  giveWay(on: boolean): void;
  dispose(): void;
}

const TRIANGLES_MOVING = 10_000; // of all parts together

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

  const skins = ([...owners.keys()] as Mesh<BufferGeometry, Material>[]).map((mesh) => ({ mesh, fine: mesh.material }));
  const plain = new Map<Material, Material>();
  // Outlines and ghosts have the very geometry of their parts: what is changed is its list of triangles.
  let gives = false;
  let lists: Map<BufferGeometry, { whole: BufferAttribute | null; few: BufferAttribute }> | null = null;

  function list(few: boolean): void {
    if (few) lists ??= fewer(skins.map(({ mesh }) => mesh.geometry));
    for (const [geometry, each] of lists ?? []) geometry.setIndex(few ? each.few : each.whole);
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
    under(caster) {
      if (gives) list(false);
      const hit = caster.intersectObject(object, true)[0] ?? null;
      if (gives) list(true);
      return hit;
    },
    giveWay(on) {
      gives = on;
      list(on);
      for (const { mesh, fine } of skins) {
        if (on && !plain.has(fine)) plain.set(fine, plainly(fine));
        mesh.material = on ? (plain.get(fine) ?? fine) : fine;
      }
    },
    dispose() {
      object.removeFromParent();
      for (const material of plain.values()) material.dispose();
      object.traverse((part) => {
        if (!(part instanceof Mesh)) return;
        part.geometry.dispose();
        for (const material of [part.material].flat() as Material[]) material.dispose();
      });
    },
  };
}

/** The same colour under light that is worked out at corners only. */
function plainly(fine: Material): Material {
  if (!(fine instanceof MeshStandardMaterial)) return fine;
  const { color, vertexColors, side, transparent, opacity } = fine;
  return new MeshLambertMaterial({ color, vertexColors, side, transparent, opacity });
}

/**
 * For each geometry that has more triangles than its share, its own list of them and one of so many. The small ones stay
 * whole for up to half of the triangles: it is by their edges that they are known.
 */
function fewer(geometries: readonly BufferGeometry[]): Map<BufferGeometry, { whole: BufferAttribute | null; few: BufferAttribute }> {
  const count = (geometry: BufferGeometry): number => (geometry.getIndex() ?? geometry.getAttribute("position")).count / 3;
  const bySize = [...new Set(geometries)].sort((one, other) => count(one) - count(other));
  let whole = 0;
  while (bySize[0] && whole + count(bySize[0]) <= TRIANGLES_MOVING / 2) whole += count(bySize.shift() as BufferGeometry); // ends with the list
  const share = (TRIANGLES_MOVING - whole) / bySize.reduce((sum, geometry) => sum + count(geometry), 0);
  const lists = new Map<BufferGeometry, { whole: BufferAttribute | null; few: BufferAttribute }>();
  for (const geometry of bySize) {
    const few = thinned(geometry, count(geometry) * share);
    if (few) lists.set(geometry, { whole: geometry.getIndex(), few });
  }
  return lists;
}
