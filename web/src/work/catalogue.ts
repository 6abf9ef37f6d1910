/** The props that this site serves: `props/index.json` and the files it names. */

import { reach } from "./reach";

export interface Served {
  /** Name of the prop folder, as a link gives it. */
  readonly name: string;
  readonly title: string;
  /** A posed GLB of it, for the first picture. */
  readonly picture: string;
  /** Zip of its folder. */
  readonly folder: string;
  /** Stands for where the builder has it on disk; empty for one that belongs to the page. */
  readonly place?: string;
}

/** The place of the builder's own prop, which `posekit show` puts in front; empty where there is none. */
export async function placeInFront(props: Promise<readonly Served[]>): Promise<string> {
  // Only posekit show has one, for this machine or its network: nowhere else is there anything to wait for.
  if (reach() === "anyone") return "";
  return (await props.catch(() => []))[0]?.place ?? "";
}

export async function catalogue(): Promise<readonly Served[]> {
  return (await got("props/index.json")).json() as Promise<readonly Served[]>;
}

export async function got(path: string): Promise<Response> {
  const response = await fetch(new URL(path, document.baseURI));
  if (!response.ok) throw new Error(`${path} could not be loaded (${response.status}).`);
  return response;
}
