/** Pictures inside of GLB files, read by the browser for Python, which makes one colour of what a part shows of them. */

import { BUDGETS } from "../../engine/protocol";
import { endingOf } from "../../work/files";
import type { Files } from "../../work/history";

const EDGE = BUDGETS.PICTURE_EDGE;

interface Described {
  readonly images?: readonly { readonly bufferView?: number; readonly mimeType?: string }[];
  readonly bufferViews?: readonly { readonly byteOffset?: number; readonly byteLength: number }[];
}

/** EDGE times EDGE pixels of red, green, blue and opacity of each, by path and number. One that cannot be read is left out. */
export async function picturesIn(files: Files): Promise<Files> {
  const read: Record<string, Uint8Array<ArrayBuffer>> = {};
  for (const [path, data] of Object.entries(files)) {
    if (endingOf(path) !== ".glb") continue;
    for (const [number, picture] of inside(data).slice(0, BUDGETS.PICTURES).entries()) {
      const pixels = picture && (await pixelsOf(picture).catch(() => null));
      if (pixels) read[`${path}#${number}`] = pixels;
    }
  }
  return read;
}

/** The pictures of a GLB, null for one that lies elsewhere; none of a file that cannot be read: Python says what is wrong with it. */
function inside(glb: Files[string]): readonly (Blob | null)[] {
  try {
    const head = new DataView(glb.buffer, glb.byteOffset, glb.byteLength);
    const length = head.getUint32(12, true);
    const { images = [], bufferViews = [] } = JSON.parse(new TextDecoder().decode(glb.subarray(20, 20 + length))) as Described;
    const binary = glb.subarray(28 + length);
    return images.map(({ bufferView, mimeType = "" }) => {
      const view = bufferView === undefined ? undefined : bufferViews[bufferView];
      return view ? new Blob([binary.slice(view.byteOffset ?? 0, (view.byteOffset ?? 0) + view.byteLength)], { type: mimeType }) : null;
    });
  } catch {
    return [];
  }
}

async function pixelsOf(picture: Blob): Promise<Uint8Array<ArrayBuffer> | null> {
  const whole = await createImageBitmap(picture, { colorSpaceConversion: "none" });
  try {
    const drawn = new OffscreenCanvas(EDGE, EDGE).getContext("2d", { willReadFrequently: true });
    if (!drawn || whole.width * whole.height > BUDGETS.PICTURE_PIXELS) return null;
    // A small one keeps its plain colours, a large one is made smaller by means.
    drawn.imageSmoothingEnabled = whole.width > EDGE || whole.height > EDGE;
    drawn.imageSmoothingQuality = "high";
    drawn.drawImage(whole, 0, 0, EDGE, EDGE);
    return new Uint8Array(drawn.getImageData(0, 0, EDGE, EDGE).data.buffer);
  } finally {
    whole.close();
  }
}
