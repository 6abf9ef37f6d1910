/** Data of the file: JSON and packed numbers, as posekit/output/packed.py writes them. */

/** Where an array of numbers stands. */
export interface Numbers {
  readonly at: number;
  readonly rows: number;
  readonly columns: number;
  readonly bytes: number;
  readonly order: number;
  readonly from: readonly number[];
  readonly step: number;
}

export interface Unpacked<Said> {
  readonly said: Said;
  /** The numbers, row by row. */
  numbers(where: Numbers): Float64Array;
}

/** Unpack what zlib packed; the browser itself inflates. */
export async function unpack<Said>(bytes: Uint8Array<ArrayBuffer>): Promise<Unpacked<Said>> {
  const inflated = new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate")));
  const data = new Uint8Array(await inflated.arrayBuffer());
  const length = new DataView(data.buffer).getUint32(0, true);
  const said = JSON.parse(new TextDecoder().decode(data.subarray(4, 4 + length))) as Said;
  const planes = data.subarray(4 + length);
  return { said, numbers: (where) => numbers(planes, where) };
}

function numbers(planes: Uint8Array, { at, rows, columns, bytes, order, from, step }: Numbers): Float64Array {
  const table = new Float64Array(rows * columns);
  const column = new Float64Array(rows);
  for (let c = 0; c < columns; c += 1) {
    for (let row = 0; row < rows; row += 1) {
      let folded = 0;
      for (let plane = bytes - 1; plane >= 0; plane -= 1) folded = folded * 256 + (planes[at + (c * bytes + plane) * rows + row] ?? 0);
      column[row] = folded % 2 === 0 ? folded / 2 : -(folded + 1) / 2;
    }
    for (let round = 0; round < order; round += 1) {
      for (let row = 1; row < rows; row += 1) column[row] = (column[row] ?? 0) + (column[row - 1] ?? 0);
    }
    for (let row = 0; row < rows; row += 1) table[row * columns + c] = (from[c] ?? 0) + step * (column[row] ?? 0);
  }
  return table;
}
