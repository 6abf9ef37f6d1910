/** The picture of a prop that stands here as this site serves it: made already, so that Python need not make it. */

import { sameFiles } from "./bytes";
import { got } from "./catalogue";
import { first, served } from "./first-picture";
import type { Picture } from "./held";
import type { Work } from "./history";

/** Null where this site has no picture of just these files. */
export async function servedPicture({ files, origin }: Work): Promise<Picture | null> {
  if (!origin || !sameFiles(files, origin.files)) return null;
  const props = await served.catch(() => []);
  const found = props.find(({ folder }) => folder === origin.address);
  if (!found) return null;
  const shown = await first.catch(() => null);
  if (shown?.address === found.picture) return new Uint8Array(shown.glb.slice(0));
  return got(found.picture).then(async (answer) => new Uint8Array(await answer.arrayBuffer()), () => null); // Python makes it then
}
