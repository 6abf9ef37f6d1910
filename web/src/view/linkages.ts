/** Linkages as bodies: bars with round ends, balls, wheels with a spoke. Python says where each end is. */

import {
  BoxGeometry,
  type BufferGeometry,
  CylinderGeometry,
  Group,
  Matrix4,
  Mesh,
  MeshStandardMaterial,
  type Object3D,
  SphereGeometry,
  Vector3,
} from "three";
import type { BodyView, LinkageView } from "../engine/protocol";
import type { Label, Labels } from "./labels";

/** A ball that can be taken hold of. */
export interface Grip {
  readonly drive: string;
  readonly grip: string;
  readonly name: string;
  readonly at: Vector3;
}

export interface Bodies {
  readonly views: readonly LinkageView[];
  /** Put all bodies where `points` (B, 3, 3) say: two ends and a mark each. Nothing is drawn without. */
  place(points: Float32Array | null): void;
  grips(): readonly Grip[];
  /** The ends and the mark of a body as they are drawn, for tests. */
  body(drive: string, name: string): readonly number[] | null;
  remove(): void;
}

interface Colours {
  readonly bar: string;
  readonly wheel: string;
  readonly grip: string;
}

const UP = new Vector3(0, 1, 0);
const SPOKE = 0.16; // of the radius
const PROUD = 1.15; // how far a spoke stands out of its wheel, of the width
const SEEN_THROUGH = 0.75;

export function createBodies(room: Object3D, views: readonly LinkageView[], labels: Labels, colours: Colours): Bodies {
  const group = new Group();
  const rod = new CylinderGeometry(1, 1, 1, 16);
  const disc = new CylinderGeometry(1, 1, 1, 40);
  const round = new SphereGeometry(1, 20, 12);
  const box = new BoxGeometry(1, 1, 1);
  const solids = { bar: paint(colours.bar), wheel: paint(colours.wheel), grip: paint(colours.grip) };
  // Most linkages are inside the parts: what these hide is seen faintly through them.
  const shades = { bar: shade(colours.bar), wheel: shade(colours.wheel), grip: shade(colours.grip) };
  const words: { label: Label; point: Vector3; at: number }[] = [];
  const drawn = views.flatMap((view) => view.bodies.map((body) => ({ view, body, pieces: pieces(body) })));
  for (const { pieces } of drawn) group.add(...pieces);
  for (const { beside, first, joint } of views) {
    if (!beside) continue;
    const point = new Vector3();
    words.push({ label: labels.add(`${joint}: beside its place`, null, point, "axis"), point, at: first });
  }
  group.visible = false;
  room.add(group);
  let last: Float32Array | null = null;

  function pieces(body: BodyView): Mesh[] {
    if (body.form === "wheel") return [made(disc, "wheel"), made(box, "bar")];
    const kind = body.grip ? "grip" : "bar";
    return [made(rod, kind), made(round, kind), made(round, kind)];
  }

  function made(shape: BufferGeometry, kind: keyof typeof solids): Mesh {
    const mesh = new Mesh(shape, solids[kind]);
    const through = new Mesh(shape, shades[kind]);
    through.renderOrder = 2;
    for (const each of [mesh, through]) each.raycast = () => undefined;
    mesh.matrixAutoUpdate = false;
    mesh.add(through);
    return mesh;
  }

  function set({ form, radius }: BodyView, [shaft, start, end]: readonly Mesh[], at: number, points: Float32Array): void {
    const [a, b, mark] = [point(points, at), point(points, at + 3), point(points, at + 6)];
    const middle = a.clone().lerp(b, 0.5);
    const along = b.clone().sub(a);
    const long = along.length();
    if (form === "wheel") {
      const out = mark.clone().sub(middle);
      const side = along.clone().divideScalar(long || 1);
      const ahead = out.clone().divideScalar(radius || 1);
      const across = side.clone().cross(ahead);
      shaft?.matrix.makeBasis(ahead.clone().multiplyScalar(radius), side.clone().multiplyScalar(long), across.clone().multiplyScalar(radius)).setPosition(middle);
      start?.matrix
        .makeBasis(out, side.multiplyScalar(long * PROUD), across.multiplyScalar(radius * SPOKE))
        .setPosition(middle.clone().addScaledVector(out, 0.5));
      return;
    }
    if (shaft) {
      shaft.visible = long > 1e-7;
      const x = aside(along, long);
      const z = x.clone().cross(along).divideScalar(long || 1);
      shaft.matrix.makeBasis(x.multiplyScalar(radius), along, z.multiplyScalar(radius)).setPosition(middle);
    }
    start?.matrix.copy(ball(a, radius));
    end?.matrix.copy(ball(b, radius));
    if (end) end.visible = long > 1e-7;
  }

  return {
    views,
    place(points) {
      group.visible = points !== null && points.length === drawn.length * 9;
      for (const { label } of words) label.element.hidden = !group.visible;
      if (!points || !group.visible) return;
      last = points;
      drawn.forEach(({ body, pieces }, index) => set(body, pieces, index * 9, points));
      for (const { point: place, at } of words) place.copy(point(points, at * 9));
      group.updateMatrixWorld(true);
    },
    grips() {
      if (!group.visible || !last) return [];
      const points = last;
      return drawn.flatMap(({ view, body: { grip, name } }, index) =>
        grip ? [{ drive: view.drive, grip, name, at: point(points, index * 9) }] : [],
      );
    },
    body(drive, name) {
      const index = drawn.findIndex(({ view, body }) => view.drive === drive && body.name === name);
      return index < 0 || !group.visible || !last ? null : [...last.subarray(index * 9, index * 9 + 9)];
    },
    remove() {
      group.removeFromParent();
      for (const { label } of words) label.remove();
      for (const each of [rod, disc, round, box, ...Object.values(solids), ...Object.values(shades)]) each.dispose();
    },
  };
}

function paint(color: string): MeshStandardMaterial {
  return new MeshStandardMaterial({ color, roughness: 0.45, metalness: 0.35 });
}

function shade(color: string): MeshStandardMaterial {
  return new MeshStandardMaterial({ color, transparent: true, opacity: SEEN_THROUGH, depthTest: false, depthWrite: false });
}

function point(points: Float32Array, at: number): Vector3 {
  return new Vector3().fromArray(points, at);
}

function ball(at: Vector3, radius: number): Matrix4 {
  return new Matrix4().makeScale(radius, radius, radius).setPosition(at);
}

/** A unit vector across `along`. */
function aside(along: Vector3, long: number): Vector3 {
  const across = along.clone().cross(UP);
  if (across.length() < 1e-3 * long) across.set(1, 0, 0).cross(along);
  return long > 0 ? across.normalize() : across.set(1, 0, 0);
}
