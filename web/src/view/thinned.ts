/** Fewer triangles for a picture that moves: corners that share a cell of a grid become one of them. */

import { Box3, BufferAttribute, type BufferGeometry, Vector3 } from "three";

const PER_CELL = 8.5; // triangles that a closed surface leaves for each square of the cells along its box, as measured
const FEWEST_CELLS = 10;
const MOST_CELLS = 1 << 10;

/** The triangles of a geometry as about `most` of them, over the same corners; null where it has no more. */
export function thinned(geometry: BufferGeometry, most: number): BufferAttribute | null {
  const places = geometry.getAttribute("position");
  const index = geometry.getIndex();
  const count = index ? index.count : places.count;
  if (count / 3 <= most) return null;
  const box = geometry.boundingBox ?? new Box3().setFromBufferAttribute(places as BufferAttribute);
  const size = box.getSize(new Vector3());
  const cells = Math.min(Math.max(Math.sqrt(most / PER_CELL), FEWEST_CELLS), MOST_CELLS);
  const cell = Math.max(size.x, size.y, size.z) / cells || 1;

  const first = new Map<number, number>(); // the first corner met in a cell stands for it
  const standsFor = new Uint32Array(places.count);
  for (let corner = 0; corner < places.count; corner += 1) {
    const x = Math.floor((places.getX(corner) - box.min.x) / cell);
    const y = Math.floor((places.getY(corner) - box.min.y) / cell);
    const z = Math.floor((places.getZ(corner) - box.min.z) / cell);
    const key = (x * MOST_CELLS + y) * MOST_CELLS + z;
    const known = first.get(key);
    if (known === undefined) first.set(key, corner);
    standsFor[corner] = known ?? corner;
  }

  const standing = (corner: number): number => standsFor[index ? index.getX(corner) : corner] ?? 0;
  const left = new Uint32Array(count);
  let at = 0;
  for (let corner = 0; corner < count; corner += 3) {
    const a = standing(corner);
    const b = standing(corner + 1);
    const c = standing(corner + 2);
    if (a === b || b === c || a === c) continue;
    left[at] = a;
    left[at + 1] = b;
    left[at + 2] = c;
    at += 3;
  }
  return new BufferAttribute(left.slice(0, at), 1);
}
