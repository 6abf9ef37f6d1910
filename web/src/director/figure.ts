/** The figure out of packed numbers: skins in their links, each link put where a pose says. Nothing is worked out but shading. */

import { Box3, BufferAttribute, BufferGeometry, Color, Group, Matrix4, Mesh, MeshStandardMaterial, Object3D, Quaternion, type Raycaster, Vector3 } from "three";
import type { FigureSaid, Form, Poses } from "./form";
import type { Unpacked } from "./packed";

export interface Figure {
  readonly object: Object3D;
  /** The nodes of the links, in mm, in the order of their names. */
  readonly nodes: readonly Object3D[];
  /** Put every link where a pose says; between two poses straight from one to the next, for the eye only. */
  place(poses: Track, at: number): void;
  bounds(): Box3;
  /** What a ray meets first: the row of the link and the point in its own frame [mm]. */
  under(caster: Raycaster): { readonly link: number; readonly point: Vector3 } | null;
}

/** Poses, unpacked: x, y, z [mm] and x, y, z, w of each link. */
export interface Track {
  readonly count: number;
  readonly links: number;
  readonly at: Float64Array;
  readonly turn: Float64Array;
}

// The picture is in metres with +Y up: our y is its x, our z its y, our x its z.
const MM = 0.001;
const PICTURE_FROM_PROP = new Matrix4().set(0, MM, 0, 0, 0, 0, MM, 0, MM, 0, 0, 0, 0, 0, 0, 1);
const ROUGHNESS = 0.65;
const NORMAL_STEPS = 127;

export function track({ count, at, turn }: Poses, links: number, data: Unpacked<unknown>): Track {
  return { count, links, at: data.numbers(at), turn: data.numbers(turn) };
}

export function buildFigure({ links, forms, shapes }: FigureSaid, data: Unpacked<unknown>): Figure {
  const object = new Group();
  object.matrixAutoUpdate = false;
  object.matrix.copy(PICTURE_FROM_PROP);
  const nodes = links.map((name) => {
    const node = new Object3D();
    node.name = name;
    node.matrixAutoUpdate = false;
    object.add(node);
    return node;
  });
  const geometries = forms.map((form) => geometry(form, data));
  const paints = new Map<string, MeshStandardMaterial>();
  const owners = new Map<Object3D, number>();
  for (const { link, form, frame, colour } of shapes) {
    const key = colour.join();
    const paint = paints.get(key) ?? new MeshStandardMaterial({ color: new Color(...colour), roughness: ROUGHNESS, metalness: 0 });
    paints.set(key, paint);
    const mesh = new Mesh(geometries[form], paint);
    mesh.matrixAutoUpdate = false;
    mesh.matrix.fromArray([...frame]);
    mesh.castShadow = true;
    mesh.receiveShadow = true;
    nodes[link]?.add(mesh);
    owners.set(mesh, link);
  }

  const [from, to, stands] = [new Vector3(), new Vector3(), new Vector3()];
  const [turnFrom, turnTo] = [new Quaternion(), new Quaternion()];
  const one = new Vector3(1, 1, 1);

  return {
    object,
    nodes,
    place({ count, links: each, at, turn }, moment) {
      const now = Math.min(Math.max(moment, 0), count - 1);
      const first = Math.floor(now);
      const then = Math.min(first + 1, count - 1);
      nodes.forEach((node, link) => {
        const [a, b] = [first * each + link, then * each + link];
        from.fromArray(at, a * 3);
        to.fromArray(at, b * 3);
        turnFrom.fromArray(turn, a * 4).normalize();
        turnTo.fromArray(turn, b * 4).normalize();
        stands.lerpVectors(from, to, now - first);
        node.matrix.compose(stands, turnFrom.slerp(turnTo, now - first), one);
      });
      object.updateMatrixWorld(true);
    },
    bounds: () => new Box3().setFromObject(object),
    under(caster) {
      for (const { object: mesh, point } of caster.intersectObject(object, true)) {
        const link = owners.get(mesh);
        const node = link === undefined ? undefined : nodes[link];
        if (link !== undefined && node) return { link, point: node.worldToLocal(point.clone()) };
      }
      return null;
    },
  };
}

function geometry({ points, normals, back }: Form, data: Unpacked<unknown>): BufferGeometry {
  const made = new BufferGeometry();
  made.setAttribute("position", new BufferAttribute(new Float32Array(data.numbers(points)), 3));
  made.setAttribute("normal", new BufferAttribute(directions(data.numbers(normals)), 3));
  const backs = data.numbers(back);
  const corners = new Uint32Array(backs.length);
  let newest = 0; // the next corner that no triangle had yet
  backs.forEach((each, place) => {
    const corner = newest - each;
    corners[place] = corner;
    if (corner === newest) newest += 1;
  });
  made.setIndex(new BufferAttribute(corners, 1));
  return made;
}

/** Directions out of points of the octahedral square. */
function directions(square: Float64Array): Float32Array {
  const found = new Float32Array((square.length / 2) * 3);
  const direction = new Vector3();
  for (let row = 0; row * 2 < square.length; row += 1) {
    const [x, y] = [(square[row * 2] ?? 0) / NORMAL_STEPS, (square[row * 2 + 1] ?? 0) / NORMAL_STEPS];
    const z = 1 - Math.abs(x) - Math.abs(y);
    const over = Math.max(-z, 0);
    direction.set(x - Math.sign(x) * over, y - Math.sign(y) * over, z).normalize().toArray(found, row * 3);
  }
  return found;
}
