// What the STEP library gives, as a GLB (glTF 2.0, ISO/IEC 12113) for Python, which reads on as it reads any other.

export interface Read {
  readonly success: boolean;
  readonly root?: ReadNode;
  readonly meshes?: readonly ReadMesh[];
}

interface ReadNode {
  readonly name: string;
  readonly meshes: readonly number[];
  readonly children: readonly ReadNode[];
}

type Colour = readonly [number, number, number];

interface ReadMesh {
  readonly attributes: { readonly position: { readonly array: readonly number[] } };
  readonly index: { readonly array: readonly number[] };
  readonly color?: Colour;
  /** Faces of the drawing: the triangles from `first` to `last` are of one. */
  readonly brep_faces: readonly { readonly first: number; readonly last: number; readonly color: Colour | null }[];
}

const M_PER_MM = 1e-3;
const [FLOAT, UNSIGNED] = [5126, 5125];

/** A GLB with a node for each solid, called after the number of the node of its product, below nodes with the names down to it. Empty for nothing. */
export function glbOf({ root, meshes = [] }: Read): Uint8Array<ArrayBuffer> {
  const parts: Uint8Array<ArrayBuffer>[] = [];
  const [views, accessors, materials, solids, nodes] = [[], [], [], [], []] as object[][] as [object[], object[], object[], object[], object[]];
  let length = 0;

  /** The number of an accessor that holds these numbers. */
  function kept(data: Float32Array<ArrayBuffer> | Uint32Array<ArrayBuffer>, componentType: number, type: string, width: number): number {
    views.push({ buffer: 0, byteOffset: length, byteLength: data.byteLength });
    parts.push(new Uint8Array(data.buffer));
    length += data.byteLength;
    return accessors.push({ bufferView: views.length - 1, componentType, type, count: data.length / width }) - 1;
  }

  function solid(mesh: ReadMesh): number {
    const places = mesh.attributes.position.array;
    const primitives = [...byColour(mesh)].map(([key, corners]) => {
      const colour = JSON.parse(key) as Colour | null;
      // Only the vertices that the colour has: what others have would make it larger than it is.
      const own = [...new Set(corners)];
      const numbered = new Map(own.map((vertex, at) => [vertex, at]));
      const position = kept(Float32Array.from(own.flatMap((vertex) => places.slice(3 * vertex, 3 * vertex + 3))), FLOAT, "VEC3", 3);
      const indices = kept(Uint32Array.from(corners, (corner) => numbered.get(corner) ?? 0), UNSIGNED, "SCALAR", 1);
      if (!colour) return { attributes: { POSITION: position }, indices };
      const material = materials.push({ pbrMetallicRoughness: { baseColorFactor: [...colour, 1] } }) - 1;
      return { attributes: { POSITION: position }, indices, material };
    });
    return solids.push({ primitives }) - 1;
  }

  let count = 0;
  function node({ name, meshes: own, children }: ReadNode): number {
    const number = String(count++);
    const below = own.flatMap((at) => {
      const mesh = meshes[at];
      return mesh && mesh.index.array.length > 0 ? [nodes.push({ name: number, mesh: solid(mesh) }) - 1] : [];
    });
    const all = [...below, ...children.map(node)];
    return nodes.push({ name, ...(all.length > 0 && { children: all }) }) - 1;
  }

  // What is above all has no name, and nothing of it is to be told.
  const top = root?.children.map(node) ?? [];
  if (solids.length === 0) return new Uint8Array(0);
  const scaled = nodes.push({ name: "", scale: [M_PER_MM, M_PER_MM, M_PER_MM], children: top }) - 1;
  const described = {
    asset: { version: "2.0" },
    scene: 0,
    scenes: [{ nodes: [scaled] }],
    nodes,
    meshes: solids,
    ...(materials.length > 0 && { materials }),
    accessors,
    bufferViews: views,
    buffers: [{ byteLength: length }],
  };
  return written(new TextEncoder().encode(JSON.stringify(described)), parts, length);
}

/** The corners of the triangles of each colour, by the colour as JSON. */
function byColour(mesh: ReadMesh): ReadonlyMap<string, number[]> {
  const found = new Map<string, number[]>();
  const corners = mesh.index.array;
  for (const { first, last, color } of mesh.brep_faces) {
    const key = JSON.stringify(color ?? mesh.color ?? null);
    const own = found.get(key) ?? [];
    for (let at = 3 * first; at < 3 * (last + 1); at++) own.push(corners[at] ?? 0);
    found.set(key, own);
  }
  return found;
}

function written(json: Uint8Array, parts: readonly Uint8Array[], length: number): Uint8Array<ArrayBuffer> {
  const padded = Math.ceil(json.length / 4) * 4;
  const glb = new Uint8Array(12 + 8 + padded + 8 + length);
  const view = new DataView(glb.buffer);
  const words: readonly (readonly [number, number])[] = [
    [0, 0x46546c67], // glTF
    [4, 2],
    [8, glb.length],
    [12, padded],
    [16, 0x4e4f534a], // JSON
    [20 + padded, length],
    [24 + padded, 0x004e4942], // BIN
  ];
  for (const [at, word] of words) view.setUint32(at, word, true);
  glb.fill(0x20, 20, 20 + padded);
  glb.set(json, 20);
  let at = 28 + padded;
  for (const part of parts) {
    glb.set(part, at);
    at += part.length;
  }
  return glb;
}
