/** What is shown first, asked for as soon as this module is read: long before the rest of the page is here. */

import { catalogue, got } from "./catalogue";
import { unlink } from "./links";
import { kept, type Kept } from "./storage";

export interface First {
  /** A prop as GLB, and where its links stood when the page was left, if it was. */
  readonly glb: ArrayBuffer;
  readonly stand: Kept["stand"] | null;
}

export const served = catalogue();
export const first = find();

/** The prop that was left, else that of the link, else the first that this site serves. */
async function find(): Promise<First | null> {
  if (location.hash === "") {
    const [picture, stand] = await Promise.all([kept("picture"), kept("stand")]);
    if (picture) return { glb: picture.slice().buffer, stand };
  }
  const props = await served;
  const named = await unlink(location.hash).catch(() => null); // told where the link is opened
  const prop = props.find(({ name }) => name === named?.prop) ?? props[0];
  return prop ? { glb: await (await got(prop.picture)).arrayBuffer(), stand: null } : null;
}
