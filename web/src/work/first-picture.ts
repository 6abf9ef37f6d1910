/** What is shown first, asked for as soon as this module is read: long before the rest of the page is here. */

import { catalogue, got, placeInFront } from "./catalogue";
import type { Stand } from "./autosave";
import { benchBefore, keysOf } from "./benches";
import { carriesPose, unlink } from "./links";
import { createStorage } from "./storage";

export interface First {
  /** A prop as GLB, and where its links stood when the page was left, if it was. */
  readonly glb: ArrayBuffer;
  readonly stand: Stand | null;
  /** Where this site serves the GLB, if it came from there. */
  readonly address?: string;
}

export const storage = createStorage();

export const served = catalogue();
served.catch(() => undefined); // told where it is used
/** The place of the builder's own prop, if one is in front. */
export const front = placeInFront(served);
export const first = find();
first.catch(() => undefined);

/** The prop that was left, else that of the link, else the first that this site serves. */
async function find(): Promise<First | null> {
  const before = benchBefore(await front);
  if (!carriesPose(location.hash) && before !== null) {
    const keys = keysOf(before);
    const kept = [storage.read<Uint8Array<ArrayBuffer>>(keys.picture), storage.read<Stand>(keys.stand)] as const;
    const [picture, stand] = await Promise.all(kept).catch(() => [null, null]);
    if (picture) return { glb: picture.slice().buffer, stand };
  }
  const props = await served;
  const named = await unlink(location.hash).catch(() => null); // told where the link is opened
  const prop = props.find(({ name }) => name === named?.prop) ?? props[0];
  return prop ? { glb: await (await got(prop.picture)).arrayBuffer(), stand: null, address: prop.picture } : null;
}
