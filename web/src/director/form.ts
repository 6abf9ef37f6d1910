/** What stands in the file, as posekit/report/director.py writes it. All lengths are mm, in the prop's own world, +Z up. */

import type { Kept, Limits } from "./note";
import type { Numbers } from "./packed";

/** A name to the letter, by which notes mean it, and as it is shown. */
export interface Named {
  readonly name: string;
  readonly told: string;
}

/** A level (error, warning, note) and a sentence. */
export type Told = readonly [level: "error" | "warning" | "note", sentence: string];

/** Poses one after the other: for each link where it stands, and its turn x, y, z, w. */
export interface Poses {
  readonly count: number;
  readonly at: Numbers;
  readonly turn: Numbers;
}

export interface Form {
  readonly points: Numbers;
  /** On the octahedron, each 127 of it. */
  readonly normals: Numbers;
  /** Corners of triangles: how far before the newest one. */
  readonly back: Numbers;
}

export interface Shape {
  readonly link: number;
  readonly form: number;
  /** link_from_shape, column by column. */
  readonly frame: readonly number[];
  /** Linear red, green, blue. */
  readonly colour: readonly [number, number, number];
}

export interface FigureSaid {
  readonly links: readonly string[];
  readonly forms: readonly Form[];
  readonly shapes: readonly Shape[];
}

export interface LookSaid {
  /** null for the rest pose of a prop without looks. */
  readonly name: string | null;
  readonly told: string;
  readonly findings: readonly Told[];
}

export interface ShowSaid extends Named {
  /** Poses a second. */
  readonly rate: number;
  /** Time of the first pose [s]. */
  readonly begin: number;
  readonly cues: readonly (readonly [begin: number, name: string])[];
  readonly said: string;
  readonly findings: readonly Told[];
  readonly poses: Poses;
}

export interface Said {
  readonly prop: Named;
  readonly fingerprint: string;
  /** The fingerprint as it is read out. */
  readonly print: string;
  readonly made: string;
  readonly size_mm: number;
  readonly figure: FigureSaid;
  /** The links as they are shown. */
  readonly told: readonly string[];
  readonly looks: readonly LookSaid[];
  /** One pose a look. */
  readonly poses: Poses;
  readonly shows: readonly ShowSaid[];
  readonly cautions: readonly string[];
  readonly notes: readonly Kept[];
  readonly limits: Limits;
}
