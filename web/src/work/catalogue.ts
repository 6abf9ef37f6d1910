/** The props that this site serves: `props/index.json` and the files it names. */

export interface Served {
  /** Name of the prop folder, as a link gives it. */
  readonly name: string;
  readonly title: string;
  /** A posed GLB of it, for the first picture. */
  readonly picture: string;
  /** Zip of its folder. */
  readonly folder: string;
}

export async function catalogue(): Promise<readonly Served[]> {
  return (await got("props/index.json")).json() as Promise<readonly Served[]>;
}

export async function got(path: string): Promise<Response> {
  const response = await fetch(new URL(path, document.baseURI));
  if (!response.ok) throw new Error(`${path} could not be loaded (${response.status}).`);
  return response;
}
