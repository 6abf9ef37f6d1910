// Made from posekit/bridge by `python -m posekit.bridge.typescript`; a test fails when the two differ.

export const POSEKIT = "0.1.0";

/** Flat numbers with the lengths of their axes. */
export interface Floats {
  readonly data: Float32Array<ArrayBuffer>;
  readonly shape: readonly number[];
}

/** What runs behind the door. */
export interface Hello {
  readonly posekit: string;
  readonly python: string;
  readonly numpy: string;
}

/** One key of the prop file that can be edited: `path` is what `edit` takes. */
export interface FieldView {
  readonly path: string;
  readonly doc: string;
  readonly unit: string;
  readonly value: number | string | boolean | ReadonlyArray<unknown> | null;
  readonly choices: ReadonlyArray<string>;
}

/**
 * One drive. Values run from 0 to `full_scale`; positions are in the joint's unit.
 *
 * `ends` are the positions of `joint` at value 0 and at full scale, all else at rest;
 * `free` is the span of values that keeps the joint off its hard stops.
 */
export interface DriveView {
  readonly name: string;
  readonly servo: string;
  readonly joint: string;
  readonly linkage: string;
  readonly universe: number;
  readonly address: number;
  readonly bits: 8 | 16;
  readonly full_scale: number;
  readonly middle: number;
  readonly rest: number;
  readonly pulse_low: number;
  readonly pulse_high: number;
  readonly pulse_trim: number;
  readonly pulse_range: readonly [number, number];
  readonly ends: readonly [number, number];
  readonly free: readonly [number, number];
  readonly fields: ReadonlyArray<FieldView>;
}

/** One moving joint. `axis` is a unit vector in the frame of the child link. */
export interface JointView {
  readonly name: string;
  readonly type: "revolute" | "prismatic";
  readonly unit: "deg" | "mm";
  readonly parent: string;
  readonly child: string;
  readonly stops: readonly [number, number] | null;
  readonly drives: ReadonlyArray<string>;
  readonly axis: readonly [number, number, number];
}

/** One servo type. */
export interface ServoView {
  readonly name: string;
  readonly fields: ReadonlyArray<FieldView>;
}

/** A stored snapshot of the prop: values by drive. */
export interface LookView {
  readonly name: string;
  readonly file: string;
  readonly values: Readonly<Record<string, number>>;
}

/** One thing to tell. `drive` names the row it belongs to, where there is one. */
export interface FindingView {
  readonly level: "error" | "warning" | "note";
  readonly code: string;
  readonly subject: string;
  readonly message: string;
  readonly drive: string | null;
  readonly line: number | null;
}

/** A prop as the page shows it. `values` is the pose to start from. */
export interface PropView {
  readonly name: string;
  readonly text: string;
  readonly drives: ReadonlyArray<DriveView>;
  readonly joints: ReadonlyArray<JointView>;
  readonly links: ReadonlyArray<string>;
  readonly servos: ReadonlyArray<ServoView>;
  readonly pairs: ReadonlyArray<readonly [string, string]>;
  readonly margin_mm: number;
  readonly looks: ReadonlyArray<LookView>;
  readonly values: Readonly<Record<string, number>>;
  readonly findings: ReadonlyArray<FindingView>;
}

/**
 * One pose, in the order of the prop's drives (D), joints (J) and links (L).
 *
 * `links` is (L, 16): picture_from_link, column by column.
 */
export interface PoseView {
  readonly values: Readonly<Record<string, number>>;
  readonly pulses_us: ReadonlyArray<number>;
  readonly shafts_deg: ReadonlyArray<number>;
  readonly joints: ReadonlyArray<number>;
  readonly links: Floats;
  readonly findings: ReadonlyArray<FindingView>;
}

/**
 * Clearance of each pair [mm], in the order of the prop's pairs; 0 = they touch or overlap.
 *
 * `points` is (K, 2, 3): where on either part it is measured, in the picture.
 */
export interface ClearanceView {
  readonly distances_mm: ReadonlyArray<number>;
  readonly points: Floats;
  readonly findings: ReadonlyArray<FindingView>;
}

/**
 * A drive from value 0 to full scale in S steps, all else held.
 *
 * `positions` are those of its joint; `links` is (S, L, 16) as in a pose; `trace` is (S, 3), the way
 * of the outermost point that the joint moves.
 */
export interface SweepView {
  readonly joint: string;
  readonly values: ReadonlyArray<number>;
  readonly positions: ReadonlyArray<number>;
  readonly links: Floats;
  readonly trace: Floats;
}

/**
 * Values that bring a part where it was asked to be, and how far off it stays.
 *
 * `off` is in mm for a point, in the joint's unit for a joint. `limits` names what held it back.
 */
export interface Found {
  readonly values: Readonly<Record<string, number>>;
  readonly off: number;
  readonly limits: ReadonlyArray<string>;
  readonly findings: ReadonlyArray<FindingView>;
}

/** Values read from a snapshot; a drive the snapshot does not name keeps the value it had. */
export interface SnapshotView {
  readonly values: Readonly<Record<string, number>>;
  readonly findings: ReadonlyArray<FindingView>;
}

/** A file to hand to the builder. */
export interface FileView {
  readonly name: string;
  readonly type: string;
  readonly data: Uint8Array<ArrayBuffer>;
}

/** Every request the page can make. */
export interface Methods {
  /** Name the versions that run here; the page compares the first with its own. */
  hello: { params: Record<string, never>; result: Hello };
  /** Open a prop from the files of its folder, by path from that folder; `prop.toml` is one of them. */
  open: { params: { files: Readonly<Record<string, Uint8Array<ArrayBuffer>>>; name: string }; result: PropView };
  /** Open the prop inside a GLB that posekit wrote, in the pose it was written in. */
  open_glb: { params: { glb: Uint8Array<ArrayBuffer>; name: string }; result: PropView };
  /** All files of the open prop, by path from its folder. */
  files: { params: Record<string, never>; result: Readonly<Record<string, Uint8Array<ArrayBuffer>>> };
  /** Take another text for prop.toml; the other files stay. This is undo and redo, too. */
  rewrite: { params: { text: string }; result: PropView };
  /** Set one key of the prop file, such as `drives.jaw.pulse.low`; comments stay. null removes the key. */
  edit: { params: { path: string; value: number | string | boolean | ReadonlyArray<unknown> | null }; result: PropView };
  /** The pose at these values. */
  pose: { params: { values: Readonly<Record<string, number>> }; result: PoseView };
  /** How far the pairs of parts stand from each other at these values. */
  clearance: { params: { values: Readonly<Record<string, number>> }; result: ClearanceView };
  /** Where one drive takes the prop between its end points. */
  sweep: { params: { drive: string; values: Readonly<Record<string, number>>; steps?: number }; result: SweepView };
  /** The values that bring one joint to a position [deg | mm]; drives that do not move it keep theirs. */
  turn: { params: { joint: string; position: number; values: Readonly<Record<string, number>> }; result: Found };
  /**
   * The values that bring a point of a link to a target, from these values on.
   *
   * `grip` is in the frame of the link [m], `target` in that of the picture. Only `joints` may move,
   * or without any named, all that carry the link.
   */
  reach: { params: { link: string; grip: readonly [number, number, number]; target: readonly [number, number, number]; values: Readonly<Record<string, number>>; joints?: ReadonlyArray<string> }; result: Found };
  /** Read a snapshot: a file by the ending of its name, or without one, text in any form posekit reads. */
  read_snapshot: { params: { data: Uint8Array<ArrayBuffer>; name: string }; result: SnapshotView };
  /** A snapshot of these values, to copy. */
  write_snapshot: { params: { values: Readonly<Record<string, number>>; form: "csv" | "json" | "text" }; result: string };
  /** Keep these values with the prop under a name, as looks/NAME.csv. */
  store_look: { params: { name: string; values: Readonly<Record<string, number>> }; result: PropView };
  /** Forget a stored look. */
  drop_look: { params: { name: string }; result: PropView };
  /** The open prop as GLB for the picture: one node a link, named after it, at the rest values. */
  scene: { params: Record<string, never>; result: FileView };
  /** The prop in this pose as a GLB to keep; it can be opened again. */
  glb: { params: { values: Readonly<Record<string, number>> }; result: FileView };
}
