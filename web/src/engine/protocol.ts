// Made from posekit/bridge by `python -m posekit.bridge.typescript`; a test fails when the two differ.

export const POSEKIT = "0.1.0";

/** Flat numbers with the lengths of their axes. */
export interface Floats {
  readonly data: Float32Array<ArrayBuffer>;
  readonly shape: readonly number[];
}

/** The limits of posekit/budgets.py that the page keeps before Python sees anything. */
export const BUDGETS = {
  INFLATED_BYTES: 134217728,
  LINK_LETTERS: 4194304,
  FOLDER_BYTES: 134217728,
  FOLDER_FILES: 4096,
  MEASURED_BYTES: 1048576,
  PICTURE_PIXELS: 67108864,
  PICTURE_EDGE: 256,
  PICTURES: 16,
  NOTES_BYTES: 12582912,
} as const;

/** The kinds of files by their endings, as in posekit/kinds.py. */
export const KINDS = {
  SNAPSHOTS: [".csv", ".json", ".bin", ".txt"],
  SHOWS: [".toml", ".csv", ".pcap", ".pcapng", ".cap"],
  CAPTURES: [".pcap", ".pcapng", ".cap"],
  PROPS: [".toml", ".zip", ".glb"],
  MESHES: [".stl", ".obj", ".ply", ".glb"],
  COLOURS: [".mtl"],
  STEPS: [".step", ".stp"],
  ASSEMBLIES: [".step", ".stp", ".urdf", ".xacro"],
  NOTES: [".json", ".txt", ".eml", ".md"],
} as const satisfies Record<string, readonly string[]>;

/** What runs behind the door. */
export interface Hello {
  readonly posekit: string;
  readonly python: string;
  readonly numpy: string;
}

/**
 * One key of the prop file that can be edited: `path` is what `edit` takes, `label` what people call it.
 *
 * `numbers` is how many its value has where that is fixed, such as 3 for a place, left out or not; else 0. `unset` is
 * what it means to leave it out, for the empty one of `choices`. `named` is whether those are names of the prop, to be
 * shown as they are, and no words of the format.
 */
export interface FieldView {
  readonly path: string;
  readonly label: string;
  readonly doc: string;
  readonly unit: string;
  readonly value: number | string | boolean | ReadonlyArray<unknown> | null;
  readonly choices: ReadonlyArray<string>;
  readonly named: boolean;
  readonly numbers: number;
  readonly unset: string;
}

/**
 * One drive. Values run from 0 to `full_scale`; positions are in the joint's unit.
 *
 * `path` is where it stands in the prop file, with quotes where its name needs them.
 * `joint_at_end_points` are the positions of `joint` at value 0 and at full scale, all else at rest;
 * `blocked` are the stretches of the values at which it presses a joint against a hard stop, each as where it begins
 * and ends, in shares of the full scale. `patch` tells universe and address in
 * words; `steps` how many values one step of each unit is.
 */
export interface DriveView {
  readonly name: string;
  readonly path: string;
  readonly servo: string;
  readonly joint: string;
  readonly linkage: string;
  readonly patch: string;
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
  readonly joint_at_end_points: readonly [number, number];
  readonly blocked: ReadonlyArray<readonly [number, number]>;
  readonly steps: Readonly<Record<string, number>>;
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

/**
 * What feeds `drives`: the [supply] of the prop file, which is not `there` yet in some, or one of [supplies].
 *
 * `path` is its place in the prop file; `wired` whether that tells of its wire.
 */
export interface FeedView {
  readonly name: string;
  readonly path: string;
  readonly there: boolean;
  readonly wired: boolean;
  readonly drives: ReadonlyArray<string>;
  readonly fields: ReadonlyArray<FieldView>;
}

/** A stored snapshot of the prop: values by drive. */
export interface LookView {
  readonly name: string;
  readonly file: string;
  readonly values: Readonly<Record<string, number>>;
}

/**
 * One thing to tell: `text` in full, with its place and subject in words; `alone` where its subject is in sight.
 *
 * `drive` names the row it belongs to, where there is one. `place` is its subject in words; `kind` what is the same of
 * notes that say the same of several, empty for what is told by itself.
 */
export interface FindingView {
  readonly level: "error" | "warning" | "note";
  readonly code: string;
  readonly subject: string;
  readonly message: string;
  readonly text: string;
  readonly alone: string;
  readonly place: string;
  readonly kind: string;
  readonly drive: string | null;
  readonly file: string | null;
  readonly line: number | null;
}

/**
 * A prop as the page shows it. `values` is the pose to start from.
 *
 * `receiver` are the keys of what makes pulses of the values. `findings` are those that need no mesh; `check` tells
 * all. `drawn` is another text for parts that look otherwise. `told` is what a change did beside what was asked.
 */
export interface PropView {
  readonly name: string;
  readonly text: string;
  readonly drives: ReadonlyArray<DriveView>;
  readonly joints: ReadonlyArray<JointView>;
  readonly links: ReadonlyArray<string>;
  readonly servos: ReadonlyArray<ServoView>;
  readonly feeds: ReadonlyArray<FeedView>;
  readonly receiver: ReadonlyArray<FieldView>;
  readonly pairs: ReadonlyArray<readonly [string, string]>;
  readonly margin_mm: number;
  readonly looks: ReadonlyArray<LookView>;
  readonly values: Readonly<Record<string, number>>;
  readonly findings: ReadonlyArray<FindingView>;
  readonly drawn: string;
  readonly told: ReadonlyArray<FindingView>;
}

/** Values read from a snapshot; a drive the snapshot does not name keeps the value it had. */
export interface SnapshotView {
  readonly values: Readonly<Record<string, number>>;
  readonly findings: ReadonlyArray<FindingView>;
}

/**
 * One pose, in the order of the prop's drives (D), joints (J) and links (L).
 *
 * `links` is (L, 16): picture_from_link, column by column. `texts` are the values as they are written in each
 * unit, (D,) each. `linkages` (B, 3, 3) are the bodies of all linkages, two ends and a mark each, where they were
 * asked for.
 */
export interface PoseView {
  readonly values: Readonly<Record<string, number>>;
  readonly texts: Readonly<Record<string, ReadonlyArray<string>>>;
  readonly pulses_us: ReadonlyArray<number>;
  readonly shafts_deg: ReadonlyArray<number>;
  readonly joints: ReadonlyArray<number>;
  readonly links: Floats;
  readonly linkages: Floats | null;
  readonly findings: ReadonlyArray<FindingView>;
}

/** All that the open prop has to tell, its meshes looked at, too. */
export interface CheckView {
  readonly findings: ReadonlyArray<FindingView>;
}

/** What is not checked of some pairs of parts, and why; pairs with one reason and one part in common are one row. */
export interface LeftOutView {
  readonly parts: string;
  readonly why: string;
}

/** What of the pairs of parts is judged in any pose: `summary` counts them, `left_out` is what is not judged. */
export interface JudgedView {
  readonly summary: string;
  readonly left_out: ReadonlyArray<LeftOutView>;
}

/** Two parts below the margin: `mm` apart, or where that is 0, overlapping by `depth_mm`. */
export interface NearPair {
  readonly pair: readonly [string, string];
  readonly mm: number;
  readonly depth_mm: number;
}

/**
 * The pairs below the margin; `points` is (N, 2, 3): the nearest points of either part, in the picture.
 *
 * `findings` tell the same in words, beside those of the pose.
 */
export interface NearView {
  readonly pairs: ReadonlyArray<NearPair>;
  readonly findings: ReadonlyArray<FindingView>;
  readonly points: Floats;
}

/**
 * The verdict on one pair of links.
 *
 * clear: at every combination of values, and on the way between them, the links are at least
 * `clear_by_mm` apart, which is the margin or more: proved. near: they are at least `clear_by_mm` apart,
 * proved, and more above 0, but the margin is not kept or cannot be proved; `witness` are the nearest values
 * met, `nearest_mm` apart or, on the way between values, nearer. strikes: the values in `witness`, one for
 * each drive, make them touch or overlap. open: neither was proved. `drives` are those that matter.
 * `open_fraction` is the part of the range that is not proved to keep them apart, `nearest_mm` the least
 * distance met. `joints` are the moving joints on the way from one link to the other, `cells` how many
 * boxes of positions were judged. `finished` is false where the time ran out or the work was stopped,
 * `kept` true where the verdict is one of before.
 */
export interface PairVerdict {
  readonly pair: readonly [string, string];
  readonly joints: ReadonlyArray<string>;
  readonly drives: ReadonlyArray<string>;
  readonly verdict: "clear" | "near" | "strikes" | "open";
  readonly clear_by_mm: number | null;
  readonly witness: Readonly<Record<string, number>> | null;
  readonly open_fraction: number;
  readonly nearest_mm: number | null;
  readonly cells: number;
  readonly finished: boolean;
  readonly kept: boolean;
}

/** One end point that would make some pairs clear by the margin, all else at full range. */
export interface Suggestion {
  readonly drive: string;
  readonly end: "low" | "high";
  readonly pulse_us: number;
  readonly clears: ReadonlyArray<readonly [string, string]>;
}

/**
 * How far the envelope is: the verdicts `settled`, of so many `pairs`; when it is done, all of them.
 *
 * `cells` boxes of positions were judged in `seconds`. `left_out` is what is not judged, or only in part. After
 * the verdicts it looks for end points that would clear what strikes or is near: `suggestions`, those that clear
 * most pairs first. `summary` counts all pairs, once it is done. `findings` tell all but the verdicts. `stopped`: it
 * was asked to stop, and what was not settled by then is open.
 */
export interface SurveyView {
  readonly phase: "judging" | "suggesting" | "done";
  readonly resolution: number;
  readonly margin_mm: number;
  readonly pairs: number;
  readonly cells: number;
  readonly seconds: number;
  readonly summary: string;
  readonly settled: ReadonlyArray<PairVerdict>;
  readonly left_out: ReadonlyArray<LeftOutView>;
  readonly suggestions: ReadonlyArray<Suggestion>;
  readonly findings: ReadonlyArray<FindingView>;
  readonly stopped: boolean;
}

/** A file to hand to the builder. */
export interface FileView {
  readonly name: string;
  readonly type: string;
  readonly data: Uint8Array<ArrayBuffer>;
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
 * `off` is in mm for a point, in the joint's unit for a joint. `limits` names what held it back; `target_mm` is
 * the point of the prop's world that was aimed at, where it was a point.
 */
export interface Found {
  readonly values: Readonly<Record<string, number>>;
  readonly off: number;
  readonly target_mm: readonly [number, number, number] | null;
  readonly limits: ReadonlyArray<string>;
  readonly findings: ReadonlyArray<FindingView>;
}

/** A number as it was typed: its value, null where it is none, and what to tell about it, null for nothing. */
export interface TypedView {
  readonly value: number | null;
  readonly notice: string | null;
}

/**
 * One cue of a list: it begins at `begin` [s], takes `fade` [s] and holds for `hold` [s].
 *
 * `look` is the file it comes from, or null for values or slots of its own.
 */
export interface CueView {
  readonly name: string;
  readonly look: string | null;
  readonly begin: number;
  readonly fade: number;
  readonly hold: number;
}

/** Limits at a shaft [deg/s, deg/s2]; null where there is none. */
export interface LimitView {
  readonly speed: number | null;
  readonly acceleration: number | null;
}

/** A slider of a limit: step i is `limits[i]` [deg/s or deg/s2], the one after the last no limit. It stands `at`. */
export interface SliderView {
  readonly limits: ReadonlyArray<number>;
  readonly at: number;
}

/** The two sliders of a drive. */
export interface LimitSliders {
  readonly speed: SliderView;
  readonly acceleration: SliderView;
}

/**
 * An open show, followed by the prop as it is now.
 *
 * It runs from `begin` to its last frame at `last`; at `end` everything rests [s]. `cues` is empty for a
 * recording. `limits` are those it is followed with, by drive, `sliders` what they can be set to.
 * `left_out` is what of the pairs of parts is not checked on the way; `no_strikes` says, in a sentence, that nothing
 * strikes where `strikes` found nothing over the whole show.
 */
export interface ShowView {
  readonly name: string;
  readonly file: string;
  readonly begin: number;
  readonly last: number;
  readonly end: number;
  readonly frames: number;
  readonly cues: ReadonlyArray<CueView>;
  readonly limits: Readonly<Record<string, LimitView>>;
  readonly sliders: Readonly<Record<string, LimitSliders>>;
  readonly left_out: ReadonlyArray<LeftOutView>;
  readonly no_strikes: string;
  readonly findings: ReadonlyArray<FindingView>;
}

/**
 * P poses, evenly in time from `begin` [s] on, `step` [s] apart.
 *
 * `links` is (P, L, 16) of the real motion as in a pose, `commanded` the same of where the drives are sent, where
 * it was asked for. `linkages` (P, B, 3, 3) are the bodies of all linkages as in a pose, likewise.
 */
export interface FramesView {
  readonly begin: number;
  readonly step: number;
  readonly links: Floats;
  readonly commanded: Floats | null;
  readonly linkages: Floats | null;
}

/**
 * Curves of all drives, (N, D) each, at `times` (N,) [s].
 *
 * `commanded` and `position` are shaft angles [deg], `velocity` is in degrees a second. `limits` are the speeds
 * [deg/s], by drive, that a drive may not pass and comes near to. `extremes`: there are more frames than times,
 * and each pair of rows tells the least and the most between its times and the next.
 */
export interface CurvesView {
  readonly times: Floats;
  readonly commanded: Floats;
  readonly position: Floats;
  readonly velocity: Floats;
  readonly limits: ReadonlyArray<ReadonlyArray<number>>;
  readonly extremes: boolean;
}

/** The largest move of one step of a value: at the shaft [deg], at its joint [unit], at part `part` [mm]. */
export interface StepView {
  readonly shaft_deg: number;
  readonly joint: number;
  readonly unit: string;
  readonly part: string;
  readonly tip_mm: number;
}

/**
 * How one drive follows: see `motion.readings.DriveReading`.
 *
 * `own` is the step of its values that is seen, `coarse` and `fine` those of 8 and of 16 bit.
 */
export interface DriveReadingView {
  readonly drive: string;
  readonly arrives: boolean;
  readonly stops: number;
  readonly missed: number;
  readonly lag_s: number;
  readonly lag_at: number;
  readonly short_deg: number;
  readonly short_at: number;
  readonly top_speed: number;
  readonly top_acceleration: number | null;
  readonly at_speed: number;
  readonly at_acceleration: number;
  readonly own: StepView;
  readonly coarse: StepView;
  readonly fine: StepView;
}

/** The largest speed of a joint or of the tip of a part, in `unit`, and when [s]. */
export interface SpeedView {
  readonly name: string;
  readonly speed: number;
  readonly unit: string;
  readonly at: number;
}

/** All readings of the show under `limits`; `summary` says in a sentence whether it keeps up and steps are seen. */
export interface ReadingsView {
  readonly limits: Readonly<Record<string, LimitView>>;
  readonly summary: string;
  readonly drives: ReadonlyArray<DriveReadingView>;
  readonly joints: ReadonlyArray<SpeedView>;
  readonly parts: ReadonlyArray<SpeedView>;
  readonly findings: ReadonlyArray<FindingView>;
}

/** The gentlest limits that still arrive, by drive, and how late [s] each drive is with them. */
export interface SuggestedView {
  readonly limits: Readonly<Record<string, LimitView>>;
  readonly lag_s: Readonly<Record<string, number>>;
  readonly findings: ReadonlyArray<FindingView>;
}

/**
 * Two links along a part of a show, at `at` [s], near `values`.
 *
 * strikes: they touch; open: too close to tell; near: they stay apart, but come closer than the margin. `finding`
 * says the same in words.
 */
export interface StrikeView {
  readonly pair: readonly [string, string];
  readonly verdict: "strikes" | "open" | "near";
  readonly at: number;
  readonly values: Readonly<Record<string, number>>;
  readonly finding: FindingView;
}

/**
 * What is the same for all poses: the voltage that each servo gets, and its stall torque at that, by drive.
 *
 * `scale` is what stands beside a bar: shares of stall as they are written, from 0 to 1, between them those from which
 * on a servo that holds gets warm and hot; `strains` what that is called. `caution` goes with
 * all figures; `dangers`, such as too much voltage, come before everything else, then `cautions`. `missing` is what
 * the prop file does not say.
 */
export interface StrengthView {
  readonly volts: ReadonlyArray<number | null>;
  readonly stall_nm: ReadonlyArray<number | null>;
  readonly scale: ReadonlyArray<readonly [number, string]>;
  readonly strains: Readonly<Record<string, string>>;
  readonly caution: string;
  readonly dangers: ReadonlyArray<FindingView>;
  readonly cautions: ReadonlyArray<FindingView>;
  readonly missing: ReadonlyArray<FindingView>;
}

/**
 * A torque at a servo [N*m], None where it has no bound, as at a dead point of the linkage.
 *
 * `share` is of the stall torque, None where either is not known; `bar` how much of a bar it fills, from 0 to 1 at
 * stall.
 */
export interface Load {
  readonly torque_nm: number | null;
  readonly share: number | null;
  readonly bar: number;
  readonly strain: "cool" | "warm" | "hot" | "stalls" | "unknown";
}

/** What each servo holds in a pose, by drive; `worst` is the drive nearest to its stall torque, null for none. */
export interface HeldView {
  readonly loads: ReadonlyArray<Load>;
  readonly worst: string | null;
}

/** What a show asks of a servo: the most, at a time [s], and the root mean square, which heats it. */
export interface MovingView {
  readonly peak: Load;
  readonly peak_at_s: number;
  readonly rms: Load;
}

/**
 * The most that a servo has to hold over all values. `most` is proved, `found_nm` what the pose `values` asks for.
 *
 * `found_nm` and `alone_nm`, with all others at rest, are null at a dead point; `others_tell`: that is much less.
 * `near`: the bound is near what was found; `cut`: more time would bring it nearer. `stall_nm` is what the shares are
 * of. `may_sleep` is null where that is not known, `moving` without a show.
 */
export interface WorstView {
  readonly drive: string;
  readonly stall_nm: number | null;
  readonly most: Load;
  readonly found_nm: number | null;
  readonly alone_nm: number | null;
  readonly others_tell: boolean;
  readonly near: boolean;
  readonly cut: boolean;
  readonly values: Readonly<Record<string, number>>;
  readonly may_sleep: boolean | null;
  readonly moving: MovingView | null;
}

/** A supply by its name in the prop file: rows of what a figure is, and the figure with its unit. */
export interface SupplyView {
  readonly name: string;
  readonly rows: ReadonlyArray<readonly [string, string]>;
}

/**
 * How far the proof is: `drives` so far, of so many, then the `show` of this name, null for none, then what helps.
 *
 * `share` of 1 is done of what `phase` tells. In the end all else is known: whether servos may sleep, what the show
 * asks, `supplies`, `findings`. `stopped`: proofs that were not done stand as they were, and of a show that was not
 * looked through nothing is told. `worst` is the drive nearest to its stall torque, `hardest` the one that the show
 * brings nearest.
 */
export interface ProofView {
  readonly phase: "proving" | "moving" | "helping" | "done";
  readonly drives: ReadonlyArray<WorstView>;
  readonly of: number;
  readonly share: number;
  readonly show: string | null;
  readonly stopped: boolean;
  readonly worst: string | null;
  readonly hardest: string | null;
  readonly supplies: ReadonlyArray<SupplyView>;
  readonly findings: ReadonlyArray<FindingView>;
}

/**
 * One servo that lets go while all others hold, in words; where it `falls`, `goes`, `rests` and `way` are told.
 *
 * `known` is false where it was not looked at before it was stopped: whether it falls is open then.
 * `strikes`: on the way its part strikes another, or may. Among the poses of the picture, `rest` is where it comes to
 * rest and `struck` where it first strikes; null for none. `values` are those it lets go from, where they are others
 * than those asked about: the ones with which it holds most.
 */
export interface FallView {
  readonly drive: string;
  readonly then: string;
  readonly goes: string;
  readonly rests: string;
  readonly way: string;
  readonly known: boolean;
  readonly falls: boolean;
  readonly strikes: boolean;
  readonly rest: number | null;
  readonly struck: number | null;
  readonly values: Readonly<Record<string, number>> | null;
}

/**
 * How the figure can lie: rows of what, and what was found of it.
 *
 * `rest` is the pose of the picture, null where none was found.
 */
export interface LyingView {
  readonly rows: ReadonlyArray<readonly [string, string]>;
  readonly rest: number | null;
}

/**
 * What becomes of the pose at `values`. `share` of 1 is done of the work, of which `drives` are there so far.
 *
 * All else is known in the end: `worst` those that may not sleep, where they hold most; `all_at_once`, as power goes;
 * `signal` what each drive does when values stop coming and what its servo then holds, N*m, and `after` how the
 * figure lies then, null where the file does not say what drives do. `links` are the poses of the picture. `watched`
 * tells how many pairs of parts were, `left_out` which were not. `stopped`: it was asked to stop; what was not
 * looked at says so.
 */
export interface LossView {
  readonly phase: "looking" | "done";
  readonly share: number;
  readonly stopped: boolean;
  readonly values: Readonly<Record<string, number>>;
  readonly drives: ReadonlyArray<FallView>;
  readonly worst: ReadonlyArray<FallView>;
  readonly all_at_once: LyingView | null;
  readonly signal: ReadonlyArray<readonly [string, string, string]>;
  readonly after: LyingView | null;
  readonly links: Floats;
  readonly watched: string;
  readonly left_out: ReadonlyArray<LeftOutView>;
  readonly findings: ReadonlyArray<FindingView>;
}

/** A joint that a drive could move; `moved_by` says what moves it already, empty where nothing does. */
export interface JointOffer {
  readonly name: string;
  readonly moved_by: string;
}

/** A figure of a data sheet: `key` of the servo's table, what it is called, its unit, and what it means. */
export interface ServoFigure {
  readonly key: string;
  readonly label: string;
  readonly unit: string;
  readonly doc: string;
  readonly example: string;
}

/** A class of servo to begin with: its typical figures as texts, by key. */
export interface ServoClassView {
  readonly name: string;
  readonly about: string;
  readonly figures: Readonly<Record<string, string>>;
}

/**
 * What a new drive can be made of.
 *
 * `address` is the first free one of `universe` for each number of bits, null where there is none left.
 */
export interface DriveOffer {
  readonly joints: ReadonlyArray<JointOffer>;
  readonly servos: ReadonlyArray<string>;
  readonly universe: number;
  readonly address: Readonly<Record<string, number | null>>;
  readonly figures: ReadonlyArray<ServoFigure>;
  readonly classes: ReadonlyArray<ServoClassView>;
}

/** One body that is drawn: see `linkage.bodies.Body`. `radius` is in metres; `grip` is empty where it is none. */
export interface BodyView {
  readonly name: string;
  readonly form: "bar" | "wheel";
  readonly radius: number;
  readonly grip: string;
}

/**
 * A linkage of the picture: its bodies stand in `linkages` of a pose from number `first` on.
 *
 * `beside` says in words why it stands beside its joint and how to place it; empty where it stands in its place.
 */
export interface LinkageView {
  readonly drive: string;
  readonly joint: string;
  readonly first: number;
  readonly bodies: ReadonlyArray<BodyView>;
  readonly beside: string;
}

/** All linkages of the open prop, in the order of the drives. */
export interface LinkagesView {
  readonly linkages: ReadonlyArray<LinkageView>;
}

/**
 * What a linkage does between the end points: see `mechanism.range_check.LinkageReport`.
 *
 * `unit` is that of the joint; null stands for what there is none of: a dead point, a rod. `advantage` is Nm at the
 * joint for each Nm of the shaft, or N for a slide, least and most; null where it has no bound. `findings` are those
 * of the linkage alone.
 */
export interface FiguresView {
  readonly drive: string;
  readonly joint: string;
  readonly unit: "deg" | "mm";
  readonly kind: string;
  readonly turns: string | null;
  readonly reach: readonly [number, number];
  readonly dead_points_deg: readonly [number | null, number | null];
  readonly transmission_deg: number | null;
  readonly advantage: readonly [number | null, number | null];
  readonly findings: ReadonlyArray<FindingView>;
}

/**
 * A linkage with a grip pulled elsewhere, which is not yet part of the prop.
 *
 * `changes` are the keys of the prop file that would make it so; `points` (B, 3, 3) its bodies as in a pose, `links`
 * (L, 16) where the parts would stand. `refused` says why it cannot be; then all else is as it was.
 */
export interface DragView {
  readonly changes: Readonly<Record<string, number | string | boolean | ReadonlyArray<unknown> | null>>;
  readonly points: Floats;
  readonly links: Floats;
  readonly figures: FiguresView | null;
  readonly refused: ReadonlyArray<FindingView>;
}

/** A linkage that was found: see `synthesis.candidate.Candidate`. `made_of` says what to buy and drill. */
export interface CandidateView {
  readonly type: string;
  readonly dimensions: Readonly<Record<string, number | string | boolean | ReadonlyArray<unknown> | null>>;
  readonly made_of: string;
  readonly reach: readonly [number, number];
  readonly transmission_deg: number;
  readonly bend: number;
  readonly dead_deg: number | null;
  readonly torque: readonly [number, number];
  readonly off: number;
}

/** Where a search is: `doing` in words, and all that was found so far, the best pushers first. */
export interface SearchView {
  readonly done: boolean;
  readonly doing: string;
  readonly candidates: ReadonlyArray<CandidateView>;
  readonly findings: ReadonlyArray<FindingView>;
}

/** The prop with a linkage that was found, at S steps of its drive: links (S, L, 16) and `points` (S, B, 3, 3). */
export interface PreviewView {
  readonly linkages: ReadonlyArray<LinkageView>;
  readonly links: Floats;
  readonly points: Floats;
}

/**
 * One part in the tree: `joint` holds it to `parent`; both are null for the part that carries all others.
 *
 * `level` is 1 for that one and one more for each that hangs on it. `path` is where it stands in the prop file.
 */
export interface PartView {
  readonly name: string;
  readonly path: string;
  readonly level: number;
  readonly parent: string | null;
  readonly joint: string | null;
  readonly type: "revolute" | "prismatic" | "fixed" | null;
  readonly shapes: number;
}

/** All parts, each behind the one it hangs on with all that hangs on that before it. */
export interface TreeView {
  readonly parts: ReadonlyArray<PartView>;
}

/** One shape of a part: `title` says what it is in a few words, `fields` are its keys. */
export interface ShapeView {
  readonly path: string;
  readonly title: string;
  readonly colour: string;
  readonly fields: ReadonlyArray<FieldView>;
}

/**
 * One part to be edited.
 *
 * `mass` says what it weighs and why so, in words; `mass_g` is null where a mesh cannot be read, and `findings` tell
 * why. `places` are the parts that it could hang on.
 */
export interface PartForm {
  readonly name: string;
  readonly path: string;
  readonly fields: ReadonlyArray<FieldView>;
  readonly shapes: ReadonlyArray<ShapeView>;
  readonly mass: string;
  readonly mass_g: number | null;
  readonly places: ReadonlyArray<string>;
  readonly findings: ReadonlyArray<FindingView>;
}

/** A form that a new shape can have: the keys of its own, with numbers to begin with. */
export interface FormView {
  readonly name: string;
  readonly doc: string;
  readonly fields: ReadonlyArray<FieldView>;
}

/** All forms. */
export interface FormsView {
  readonly forms: ReadonlyArray<FormView>;
}

/** What goes with a part that is removed, or would name nothing: one row each, empty where it is alone. */
export interface GoesView {
  readonly rows: ReadonlyArray<string>;
}

/** The classes of servo that a new prop can begin with. */
export interface ClassesView {
  readonly classes: ReadonlyArray<string>;
}

/** One part that was found, its size in words and how many triangles it has. */
export interface BroughtPart {
  readonly name: string;
  readonly size: string;
  readonly triangles: number;
}

/**
 * A new prop that is on no bench yet.
 *
 * `size` is that of the whole figure in words. `units` and `ups` are what may be chosen, empty where the file itself
 * says it; `unit` is the one taken, `up` the axis that was chosen, each null where every kind of file has its own.
 * `stands` is the part that carries the others, `may_stand` those that could. `lacks` tells what is not done in a
 * browser, `files` are those of the prop's folder, `picture` is a GLB to look at.
 */
export interface BroughtView {
  readonly name: string;
  readonly unit: string | null;
  readonly units: ReadonlyArray<string>;
  readonly up: string | null;
  readonly ups: ReadonlyArray<string>;
  readonly size: string;
  readonly parts: ReadonlyArray<BroughtPart>;
  readonly moving: number;
  readonly drives: number;
  readonly stands: string;
  readonly may_stand: ReadonlyArray<string>;
  readonly findings: ReadonlyArray<FindingView>;
  readonly lacks: ReadonlyArray<string>;
  readonly files: Readonly<Record<string, Uint8Array<ArrayBuffer>>>;
  readonly picture: Uint8Array<ArrayBuffer>;
}

/**
 * One row of the table, and what the fit makes of it.
 *
 * empty: nothing is there; half: pulse or angle is missing; wrong: `told` says what would be right; used: a point as
 * it is; merged: made one point with its neighbours; left_out: it does not go with the others. `pulse_us` and
 * `shaft_deg` are its numbers, `off_deg` how far it lies above the line, all null where there is no fit of it.
 */
export interface MeasuredRow {
  readonly state: "empty" | "half" | "wrong" | "used" | "merged" | "left_out";
  readonly pulse_us: number | null;
  readonly shaft_deg: number | null;
  readonly off_deg: number | null;
  readonly told: string;
}

/**
 * The fit of the rows: `points` for the servo type, the straight `line` from the first to the last pulse (two
 * points), and the servo as the prop file has it `now` at the same pulses; (us, degrees) each. `line_text` says slope
 * and angle at neutral in words.
 */
export interface FitView {
  readonly points: ReadonlyArray<readonly [number, number]>;
  readonly line: readonly [readonly [number, number], readonly [number, number]];
  readonly now: ReadonlyArray<readonly [number, number]>;
  readonly line_text: string;
  readonly worst_deg: number;
}

/** The table and its fit; null while the rows give none, `findings` then say why. */
export interface MeasuredView {
  readonly rows: ReadonlyArray<MeasuredRow>;
  readonly fit: FitView | null;
  readonly findings: ReadonlyArray<FindingView>;
}

/** A value of a drive to send on the bench, and the pulse that its servo gets for it, both as they are written. */
export interface SentView {
  readonly value: string;
  readonly pulse: string;
}

/**
 * One drive that swings between its end points for as long as it is watched.
 *
 * A period takes `period` [s]. `limit` is what it swings under, `own` what the prop file has, `sliders` what it can be
 * set to. `findings` are those at the two ends.
 */
export interface SwingView {
  readonly drive: string;
  readonly period: number;
  readonly limit: LimitView;
  readonly own: LimitView;
  readonly sliders: LimitSliders;
  readonly findings: ReadonlyArray<FindingView>;
}

/** One line: comes (+), goes (-) or stays. `number` is its line in the file it is of: the old one where it goes. */
export interface Line {
  readonly mark: "+" | "-" | " ";
  readonly number: number;
  readonly text: string;
}

/**
 * What becomes of one file. `parts` are the stretches of lines that change, each with some lines around it.
 *
 * A file that is no text, or that differs in too many lines to show, has no parts; `words` then tell what there is
 * to tell. `come` and `go` count lines.
 */
export interface FileDifference {
  readonly path: string;
  readonly kind: "new" | "changed" | "removed";
  readonly come: number;
  readonly go: number;
  readonly parts: ReadonlyArray<ReadonlyArray<Line>>;
  readonly words: string;
}

/**
 * An axis in the world with all joints at 0 [mm], and the same in the picture (`at` in metres).
 *
 * `text` are its numbers in words; `radius_mm` that of the wall it was read off.
 */
export interface AxisView {
  readonly point_mm: readonly [number, number, number];
  readonly direction: readonly [number, number, number];
  readonly radius_mm: number | null;
  readonly at: readonly [number, number, number];
  readonly along: readonly [number, number, number];
  readonly text: string;
}

/** Any joint, a fixed one too. `path` is where it stands in the prop file, `free` how far it is moved by hand. */
export interface PlacedJoint {
  readonly name: string;
  readonly path: string;
  readonly type: "revolute" | "prismatic" | "fixed";
  readonly unit: "deg" | "mm";
  readonly parent: string;
  readonly child: string;
  readonly stops: readonly [number, number] | null;
  readonly free: readonly [number, number];
  readonly moved_by: string;
  readonly axis: AxisView;
}

/** All joints, those that move first, and where the links stand with every joint at 0: (L, 16) as in a pose. */
export interface JointsView {
  readonly joints: ReadonlyArray<PlacedJoint>;
  readonly links: Floats;
}

/** An axis read off parts; `told` is what they are at each of the points that it was asked for at. */
export interface FoundAxis {
  readonly axis: AxisView;
  readonly told: ReadonlyArray<string>;
}

/** A joint moved by hand: its position [deg | mm], in words too, and where the links stand: (L, 16) as in a pose. */
export interface TrialView {
  readonly joint: string;
  readonly position: number;
  readonly text: string;
  readonly links: Floats;
}

/** How many setting cards or looks are made, of how many, and the file once all are; null before. */
export interface CardsView {
  readonly done: number;
  readonly of: number;
  readonly file: FileView | null;
  readonly findings: ReadonlyArray<FindingView>;
}

/** One figure that was measured, as it is written; `differs` if by more than can be measured. */
export interface ComparedRow {
  readonly drive: string;
  readonly figure: string;
  readonly planned: string;
  readonly measured: string;
  readonly off: string;
  readonly differs: boolean;
}

/** A filled-in sheet against the open prop; `summary` counts it in a sentence. */
export interface ComparedView {
  readonly rows: ReadonlyArray<ComparedRow>;
  readonly summary: string;
  readonly findings: ReadonlyArray<FindingView>;
}

/**
 * One note. `where` is all that it belongs to in words, `group` what it is listed under.
 *
 * `look`, `show` (a path), `part` are what it belongs to of what is there now, null where it is gone or names none;
 * `point` is in the frame of the part, in metres, as the picture has it. Dates are days. `changed` is what has changed
 * since it was made.
 */
export interface NoteView {
  readonly number: number;
  readonly id: string;
  readonly kind: "approved" | "change" | "note";
  readonly state: "open" | "done";
  readonly group: string;
  readonly where: string;
  readonly text: string;
  readonly by: string;
  readonly made: string;
  readonly look: string | null;
  readonly show: string | null;
  readonly time_s: number | null;
  readonly part: string | null;
  readonly point: readonly [number, number, number] | null;
  readonly done: string;
  readonly answer: string;
  readonly changed: ReadonlyArray<FindingView>;
}

/**
 * The notes of the open prop in their groups, open ones first, and how many there are of each state in words;
 * `refused` is why they cannot be read.
 */
export interface NotesView {
  readonly counted: string;
  readonly notes: ReadonlyArray<NoteView>;
  readonly refused: ReadonlyArray<FindingView>;
}

/** What taking notes in would do, counted in a sentence; `changes` if it would change anything. */
export interface NotesInView {
  readonly sentence: string;
  readonly changes: boolean;
}

/** A drive or a joint that differs: what it is with, left, right, and by how much; `part` is what it moves. */
export interface DifferenceRow {
  readonly name: string;
  readonly of: string;
  readonly left: string;
  readonly right: string;
  readonly by: string;
  readonly part: string | null;
}

/** Two poses: their links (L, 16) each as in a pose, and what differs in values and in positions of joints. */
export interface BesideView {
  readonly left: Floats;
  readonly right: Floats;
  readonly drives: ReadonlyArray<DifferenceRow>;
  readonly joints: ReadonlyArray<DifferenceRow>;
  readonly sentence: string;
}

/** What can go into the file: looks and shows by name; a name of both brings both. */
export interface ShownView {
  readonly looks: ReadonlyArray<string>;
  readonly shows: ReadonlyArray<string>;
}

/** How many steps of the file are made, of how many, and the file once all are; null before. */
export interface DirectorView {
  readonly done: number;
  readonly of: number;
  readonly file: FileView | null;
  readonly fingerprint: string;
  readonly findings: ReadonlyArray<FindingView>;
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
  /** One file beside the prop file, by path from the folder; null if it is not there. */
  file: { params: { path: string }; result: Uint8Array<ArrayBuffer> | null };
  /** One name for the files of the open prop as they are now, notes left out; any other state has another. */
  fingerprint: { params: Record<string, never>; result: string };
  /** Take another text for prop.toml; the other files stay. This is undo and redo, too. */
  rewrite: { params: { text: string }; result: PropView };
  /** Set one key of the prop file, such as `drives.jaw.pulse.low`; comments stay. null removes the key. */
  edit: { params: { path: string; value: number | string | boolean | ReadonlyArray<unknown> | null }; result: PropView };
  /** Set several keys of the prop file at once, so that a table can come with all that it needs. */
  edit_all: { params: { changes: Readonly<Record<string, number | string | boolean | ReadonlyArray<unknown> | null>> }; result: PropView };
  /** Keep a file beside the prop file, by its path from the folder; over one of that name if `replace`. */
  keep_file: { params: { path: string; data: Uint8Array<ArrayBuffer>; replace?: boolean }; result: PropView };
  /** Let go of a file beside the prop file. */
  drop_file: { params: { path: string }; result: PropView };
  /** Values from a link, a file or another prop as the drives of this one can be sent them. */
  fit: { params: { values: Readonly<Record<string, number>> }; result: SnapshotView };
  /** The pose at these values; with the bodies of its linkages, if asked for. */
  pose: { params: { values: Readonly<Record<string, number>>; linkages?: boolean }; result: PoseView };
  /** All that the open prop has to tell over all its values, the shapes of its parts included. */
  check: { params: Record<string, never>; result: CheckView };
  /** Read a snapshot: a file by the ending of its name, or without one, text in any form posekit reads. */
  read_snapshot: { params: { data: Uint8Array<ArrayBuffer>; name: string }; result: SnapshotView };
  /** A snapshot of these values, to copy. */
  write_snapshot: { params: { values: Readonly<Record<string, number>>; form: "csv" | "json" | "text" }; result: string };
  /** Keep these values with the prop under a name, as looks/NAME.csv; over a look of that name if `replace`. */
  store_look: { params: { name: string; values: Readonly<Record<string, number>>; replace?: boolean }; result: PropView };
  /** Forget a stored look. */
  drop_look: { params: { name: string }; result: PropView };
  /**
   * Get the parts ready to be judged, for about so long; what is judged, or null: there is more to do.
   *
   * What first asks for distances would do all of it at once, and a pose would wait for that.
   */
  prepare: { params: { seconds: number }; result: JudgedView | null };
  /**
   * The pairs of parts that are below the margin at these values, those that overlap first.
   *
   * Looked for during about so long, so that poses come between; null: ask for the same again, to go on.
   */
  near: { params: { values: Readonly<Record<string, number>>; seconds: number }; result: NearView | null };
  /** Begin the envelope: a verdict on every pair, down to boxes of `resolution` [deg | mm]. */
  survey: { params: { resolution?: number }; result: SurveyView };
  /** Go on with the envelope for about so long. */
  survey_on: { params: { seconds: number }; result: SurveyView };
  /** End the envelope now: what is not settled is told as open, with what is left of it. */
  survey_stop: { params: Record<string, never>; result: SurveyView };
  /** Where a pair strikes over its two most telling channels, all else standing at these values, as SVG. */
  strike_map: { params: { pair: readonly [string, string]; values: Readonly<Record<string, number>> }; result: FileView };
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
  /** The same with the target in the world of the prop [mm], as people write it. */
  bring: { params: { link: string; grip: readonly [number, number, number]; target_mm: readonly [number, number, number]; values: Readonly<Record<string, number>>; joints?: ReadonlyArray<string> }; result: Found };
  /** The value that was typed for a drive in a unit. */
  typed: { params: { drive: string; text: string; unit: "value" | "percent" | "16 bit" }; result: TypedView };
  /** The open prop as GLB for the picture: one node a link, named after it, at the rest values. */
  scene: { params: Record<string, never>; result: FileView };
  /** The prop in this pose as a GLB to keep; it can be opened again. */
  glb: { params: { values: Readonly<Record<string, number>> }; result: FileView };
  /** Open a show: one of the prop's files, or a file of its own with its bytes. */
  open_show: { params: { name: string; data?: Uint8Array<ArrayBuffer> | null }; result: ShowView };
  /** The open show, followed by the prop as it is now. */
  show: { params: Record<string, never>; result: ShowView };
  /** Poses to play: `count` of them, `step` [s] apart; with those sent to, and with linkages, if asked for. */
  frames: { params: { begin: number; step: number; count: number; commanded: boolean; linkages?: boolean }; result: FramesView };
  /** All drives at `count` times from `begin` to `end` [s]; over a long time the least and most between them. */
  curves: { params: { begin: number; end: number; count: number }; result: CurvesView };
  /** Everything read from the motion, under the limits of the prop or under others (speed, acceleration). */
  readings: { params: { limits?: Readonly<Record<string, readonly [number | null, number | null]>> | null }; result: ReadingsView };
  /** The gentlest limits with which every drive reaches its stops within `lag_s` seconds. */
  suggest: { params: { lag_s: number }; result: SuggestedView };
  /** Pairs of parts that strike between two times [s] of the real motion, may, or do not keep the margin. */
  strikes: { params: { begin: number; end: number }; result: ReadonlyArray<StrikeView> };
  /** The curves of all drives, 25 rows a second. */
  motion_csv: { params: Record<string, never>; result: FileView };
  /** The prop with its real motion as an animated GLB. */
  motion_glb: { params: Record<string, never>; result: FileView };
  /** Start a list of cues with one at these values; it is kept with the prop as shows/TITLE.toml. */
  begin_show: { params: { title: string; values: Readonly<Record<string, number>> }; result: PropView };
  /** Record a cue at these values before cue `at` of a show, or after the last. */
  add_cue: { params: { file: string; at: number; name: string; values: Readonly<Record<string, number>> }; result: PropView };
  /** Set some of the name, fade, hold [s], values or look of a cue. */
  change_cue: { params: { file: string; cue: number; changes: Readonly<Record<string, number | string | boolean | ReadonlyArray<unknown> | null | Readonly<Record<string, number>>>> }; result: PropView };
  /** Put a cue in another place of its show. */
  move_cue: { params: { file: string; cue: number; to: number }; result: PropView };
  /** Remove a cue from its show. */
  drop_cue: { params: { file: string; cue: number }; result: PropView };
  /** Set the speed and acceleration limits of some drives in the prop file; null removes one. */
  limit: { params: { limits: Readonly<Record<string, readonly [number | null, number | null]>> }; result: PropView };
  /** What is the same for all poses of the prop: stall torques, cautions, what its file does not say. */
  strength: { params: Record<string, never>; result: StrengthView };
  /** What gravity, loads and springs ask of each servo at these values. */
  held: { params: { values: Readonly<Record<string, number>> }; result: HeldView };
  /**
   * Begin to prove the most that each servo has to hold; over a show, too: one of the prop's, or its bytes.
   *
   * What was proved of the prop before, as for another show, is not proved again.
   */
  prove: { params: { show?: string | null; data?: Uint8Array<ArrayBuffer> | null }; result: ProofView };
  /** Go on with the proof for about so long; at least by one step. */
  prove_on: { params: { seconds: number }; result: ProofView };
  /** Bring the proof to its end: what is known by now stands; a show not looked through is left out. */
  prove_stop: { params: Record<string, never>; result: ProofView };
  /**
   * Begin to look at what becomes of the pose at these values.
   *
   * `worst` has, of drives that may not sleep, the values with which each holds most.
   */
  lose: { params: { values: Readonly<Record<string, number>>; worst: Readonly<Record<string, Readonly<Record<string, number>>>> }; result: LossView };
  /** Go on for about so long; at least by one step. */
  lose_on: { params: { seconds: number }; result: LossView };
  /** Look at no further way for strikes; where all falls and comes to rest is told if that is found at once. */
  lose_stop: { params: Record<string, never>; result: LossView };
  /** One more supply [V, A], which feeds no drive until one names it. */
  add_supply: { params: { name: string; voltage: number; current: number }; result: PropView };
  /** What a new drive can be made of, with the next free address of a universe. */
  drive_offer: { params: { universe?: number }; result: DriveOffer };
  /**
   * Add a drive, its end points at 90 degrees about neutral; at the next free address where none is given.
   *
   * With `new_servo` its servo is a new type of that name: figures as they were typed, by key, begun with those
   * of the class `typical`.
   */
  add_drive: { params: { name: string; joint: string; servo: string; universe: number; address: number | null; bits: 8 | 16; new_servo?: Readonly<Record<string, string>> | null; typical?: string | null }; result: PropView };
  /** What `linkages` of a pose are made of. */
  linkages: { params: Record<string, never>; result: LinkagesView };
  /** Reach, dead points, transmission angle and advantage of a drive's linkage; null where several share it. */
  linkage_figures: { params: { drive: string }; result: FiguresView | null };
  /**
   * What becomes of a linkage with one of its grips pulled, the drives at these values.
   *
   * The pull goes from the `eye` through the point `to`, both in the picture [m]: a grip that moves in a plane
   * comes to where that meets it, any other one to `to`. The prop stays as it is until the `changes` are edited
   * into it.
   */
  drag_linkage: { params: { drive: string; grip: string; eye: readonly [number, number, number]; to: readonly [number, number, number]; values: Readonly<Record<string, number>> }; result: DragView };
  /**
   * Begin to look for linkages that make a movement; `find_on` goes on with it.
   *
   * `joint` is where it stands at value 0 and at full scale, or `positions` at values (value, position). `horns`,
   * `arms` and `rods` are lengths as they are typed, empty for what is usual; `servo_at` and `servo_axis` place the
   * servo of a push-rod, as three numbers in the part that carries the joint.
   */
  find_linkage: { params: { drive: string; joint?: readonly [number, number] | null; positions?: ReadonlyArray<readonly [number, number]>; transmission_deg?: number; horns?: string; arms?: string; rods?: string; servo_at?: string; servo_axis?: string }; result: SearchView };
  /** Go on for about so long. */
  find_on: { params: { seconds: number }; result: SearchView };
  /** The prop with another linkage, moving from value 0 to full scale; the open one stays as it is. */
  preview_linkage: { params: { drive: string; type: string; dimensions: Readonly<Record<string, number | string | boolean | ReadonlyArray<unknown> | null>>; values: Readonly<Record<string, number>>; steps?: number }; result: PreviewView };
  /** Give a drive a linkage that was found. */
  take_linkage: { params: { drive: string; type: string; dimensions: Readonly<Record<string, number | string | boolean | ReadonlyArray<unknown> | null>> }; result: PropView };
  /** All parts, each behind the one it hangs on. */
  part_tree: { params: Record<string, never>; result: TreeView };
  /** One part, to be edited: its keys and those of its shapes, and what it weighs. */
  part_form: { params: { part: string }; result: PartForm };
  /** The forms that a new shape can have, with numbers to begin with. */
  forms: { params: Record<string, never>; result: FormsView };
  /**
   * A new part with one shape, fixed to another by a joint of its own; places of shapes are those of the world.
   *
   * `keys` are those of the form and of the shape, such as `radius`, `at` and `colour`.
   */
  add_part: { params: { name: string; parent: string; form: "box" | "sphere" | "cylinder" | "capsule" | "mesh"; keys: Readonly<Record<string, number | string | boolean | ReadonlyArray<unknown> | null>> }; result: PropView };
  /** One more shape of a part; `keys` as for a new part, places in the frame of the part. */
  add_shape: { params: { part: string; form: "box" | "sphere" | "cylinder" | "capsule" | "mesh"; keys: Readonly<Record<string, number | string | boolean | ReadonlyArray<unknown> | null>> }; result: PropView };
  /** Another name for a part, joint, drive, supply or type of servo, wherever it is named, in cues, too. */
  rename: { params: { kind: "supplies" | "servos" | "links" | "joints" | "drives"; name: string; new: string }; result: PropView };
  /** What would go with a part, joint, drive, supply or type of servo that is removed. */
  goes_with: { params: { kind: "supplies" | "servos" | "links" | "joints" | "drives"; name: string }; result: GoesView };
  /** Take a part, joint, drive, supply or type of servo out; what goes with it only if `with_all` says so. */
  remove: { params: { kind: "supplies" | "servos" | "links" | "joints" | "drives"; name: string; with_all?: boolean }; result: PropView };
  /** Take a shape of a part out, by its number from 0; its mesh file stays beside the prop. */
  remove_shape: { params: { part: string; number: number }; result: PropView };
  /** Hang a part, with all that hangs on it, on another; at the zero pose it stays where it is. */
  hang: { params: { part: string; parent: string }; result: PropView };
  /** Give a shape of a part, by its number from 0, to another part; at the zero pose it stays where it is. */
  move_shape: { params: { part: string; number: number; to: string }; result: PropView };
  /** The classes of servo to begin with. */
  servo_classes: { params: Record<string, never>; result: ClassesView };
  /** The smallest prop that moves: a base, an arm, a servo and a drive, every key explained. */
  begin_empty: { params: { name: string; servo?: "sub_micro" | "micro" | "low_profile" | "standard" | "high_torque" | "large" }; result: BroughtView };
  /**
   * A prop from mesh files, or from one STEP file or one URDF with its meshes beside it, by path.
   *
   * `step` is the STEP file as a GLB, `pictures` are those inside of GLB files as `colour_files.among` takes them,
   * which the page makes. Without `unit` and `up` they are taken from the files
   * and told; `root` is the part that stands, without a word the largest.
   */
  begin_with: { params: { files: Readonly<Record<string, Uint8Array<ArrayBuffer>>>; name: string; unit?: "mm" | "cm" | "m" | "inch" | null; up?: "y" | "z" | null; root?: string | null; servo?: "sub_micro" | "micro" | "low_profile" | "standard" | "high_torque" | "large"; step?: Uint8Array<ArrayBuffer> | null; pictures?: Readonly<Record<string, Uint8Array<ArrayBuffer>>> | null }; result: BroughtView };
  /** The fit of the rows as they are typed, pulse [us] and angle [degrees]; the same as `posekit fit` makes. */
  measured: { params: { servo: string; rows: ReadonlyArray<readonly [string, string]> }; result: MeasuredView };
  /** The rows of two columns copied from a spreadsheet or a CSV file. */
  pasted: { params: { text: string }; result: ReadonlyArray<readonly [string, string]> };
  /** Values of a drive from end point to end point, with the pulse that its servo gets for each. */
  to_measure: { params: { drive: string }; result: ReadonlyArray<SentView> };
  /** Take the fit of the rows as the points of a servo type. Rows that are wrong or half are refused. */
  take_measured: { params: { servo: string; rows: ReadonlyArray<readonly [string, string]> }; result: PropView };
  /** The values of all drives in a pose for the bench, and what of it cannot be had. */
  bench_pose: { params: { pose: "middle" | "neutral" | "low" | "high" | "rest" }; result: SnapshotView };
  /**
   * Swing a drive under these limits [deg/s, deg/s2], null for none; all others stand at `values`.
   *
   * It begins at its own value at time 0, or goes on from where a swing of the same drive is `at` a time [s].
   */
  swing: { params: { drive: string; values: Readonly<Record<string, number>>; speed: number | null; acceleration: number | null; at?: number | null }; result: SwingView };
  /** Poses of the swing to play: `count` of them, `step` [s] apart; with linkages, if asked for. */
  swing_frames: { params: { begin: number; step: number; count: number; linkages?: boolean }; result: FramesView };
  /** Put a drive back to where it began: 90 degrees about neutral, no limits but those of its servo. */
  reset_drive: { params: { drive: string }; result: PropView };
  /**
   * What the new files change in the old ones, file by file and line by line; null removes a file.
   *
   * `there` are the paths of all files in the folder. A new file that some system takes for one of them is refused.
   */
  differences: { params: { old: Readonly<Record<string, Uint8Array<ArrayBuffer>>>; new: Readonly<Record<string, Uint8Array<ArrayBuffer> | null>>; there?: ReadonlyArray<string> }; result: ReadonlyArray<FileDifference> };
  /** Where all joints stand, and the links with them at 0. */
  joint_places: { params: Record<string, never>; result: JointsView };
  /** A point of a part, picked in its frame [m] in the picture: in the world with all joints at 0 [mm]. */
  spot: { params: { part: string; point: readonly [number, number, number] }; result: readonly [number, number, number] };
  /**
   * The axis at one or two points, each of a part: in the world with all joints at 0 [mm].
   *
   * "round" is the wall of a hole or shaft, "holes" goes through the middles of two, "points" through two as they
   * are, "edge" along the nearest straight one, "face" upright on a flat one. Raises PosekitError where no such
   * axis is there.
   */
  find_axis: { params: { how: "round" | "holes" | "points" | "edge" | "face"; parts: ReadonlyArray<string>; points: ReadonlyArray<readonly [number, number, number]> }; result: FoundAxis };
  /** The axis at a point [m] of the picture along a direction of it, as while it is dragged there. */
  seen_axis: { params: { at: readonly [number, number, number]; along: readonly [number, number, number] }; result: AxisView };
  /** The axis at a point along a direction of the world, as people type it. PosekitError without a direction. */
  typed_axis: { params: { point_mm: readonly [number, number, number]; direction: readonly [number, number, number] }; result: AxisView };
  /** Put a joint at a point of the world along a direction, all joints at 0; the parts stay where they are. */
  place_joint: { params: { joint: string; point_mm: readonly [number, number, number]; direction: readonly [number, number, number]; type: "revolute" | "prismatic" | "fixed" }; result: PropView };
  /** Make a joint one of another type where it is, without what counted in the unit of the old one. */
  become_joint: { params: { joint: string; type: "revolute" | "prismatic" | "fixed" }; result: PropView };
  /** The same at a point [m] of the picture along a direction of it, as `seen_axis` tells it. */
  drop_joint: { params: { joint: string; at: readonly [number, number, number]; along: readonly [number, number, number]; type: "revolute" | "prismatic" | "fixed" }; result: PropView };
  /** A hard stop at a position [deg | mm]; the other, where there is none, stands where a hand stops turning. */
  set_stop: { params: { joint: string; which: "low" | "high"; position: number }; result: PropView };
  /** Where the parts stand with a joint at a position [deg | mm], whatever its drive and stops; others at 0. */
  try_joint: { params: { joint: string; position: number }; result: TrialView };
  /**
   * The same, with a part pulled to a target from where the joint stands at `position`.
   *
   * `grip` is in the frame of the link [m], `target` in that of the picture.
   */
  pull_joint: { params: { joint: string; link: string; grip: readonly [number, number, number]; target: readonly [number, number, number]; position: number }; result: TrialView };
  /** Patch, wiring and calibration, to print, to fill in, or as text; strength and supply take some seconds. */
  sheet_file: { params: { form: "html" | "csv" | "md"; paper?: "A4" | "Letter"; strength?: boolean }; result: FileView };
  /** Begin the setting cards; `times` is a CSV of times at steps of the controller, `name` what it is called. */
  cards: { params: { paper?: "A4" | "Letter"; times?: Uint8Array<ArrayBuffer> | null; name?: string }; result: CardsView };
  /** Go on with the cards for about so long; at least with one. */
  cards_on: { params: { seconds: number }; result: CardsView };
  /** Begin the picture sheet: all looks from three sides. */
  pictures: { params: { paper?: "A4" | "Letter" }; result: CardsView };
  /** Go on with the picture sheet by one look. */
  pictures_on: { params: Record<string, never>; result: CardsView };
  /** A sheet as CSV that was filled in, against the open prop. Nothing is changed. */
  compare_sheet: { params: { data: Uint8Array<ArrayBuffer>; name: string }; result: ComparedView };
  /** All notes that are kept with the open prop, against what it is now. */
  notes: { params: Record<string, never>; result: NotesView };
  /** What taking in these notes would do; `name` is how messages call them. Nothing is changed. */
  notes_in: { params: { text: string; name: string }; result: NotesInView };
  /** Take in notes, as the text of a file or of a message; the same one twice is one. */
  take_notes: { params: { text: string; name: string }; result: PropView };
  /** Tick off the note of this id at a time, as 2026-11-26T10:00:00Z, with what is said to it, if anything. */
  tick_note: { params: { note: string; when: string; answer?: string | null }; result: PropView };
  /** Open the note of this id again. */
  reopen_note: { params: { note: string }; result: PropView };
  /** Remove the note of this id; the numbers of those after it are one less. */
  remove_note: { params: { note: string }; result: PropView };
  /** What differs between the poses at these values, and where each part is in both. */
  beside: { params: { left: Readonly<Record<string, number>>; right: Readonly<Record<string, number>> }; result: BesideView };
  /** What can go into the file. */
  director_shown: { params: Record<string, never>; result: ShownView };
  /** Begin the file with the looks and shows of these names; the rest are what draws it, as the page has it. */
  director_file: { params: { names: ReadonlyArray<string>; script: string; style: string; licences: string }; result: DirectorView };
  /** Go on with the file for about so long; at least by one step. */
  director_file_on: { params: { seconds: number }; result: DirectorView };
}

/** Of these only the newest counts; any older one that still waits is dropped. */
export const NEWEST_WINS: ReadonlySet<keyof Methods> = new Set<keyof Methods>([
  "pose",
  "write_snapshot",
  "strike_map",
  "sweep",
  "turn",
  "reach",
  "bring",
  "show",
  "curves",
  "readings",
  "held",
  "drive_offer",
  "drag_linkage",
  "preview_linkage",
  "measured",
  "swing",
  "seen_axis",
  "try_joint",
  "pull_joint",
  "beside",
]);

/** Asked again and again until they are answered, a short step each time, between which poses go out. */
export const IN_STEPS: ReadonlySet<keyof Methods> = new Set<keyof Methods>([
  "prepare",
  "near",
]);
