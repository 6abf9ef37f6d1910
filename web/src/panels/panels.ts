/** The panels, in the order of their tabs: a line here is all it takes to have one more. */

import type { ComponentChild } from "preact";
import type { Bench } from "../bench";
import { BenchPanel } from "./bench/bench-panel";
import { Calibration } from "./calibration/calibration";
import { Channels } from "./channels/channels";
import { Clearance } from "./clearance/clearance";
import { Drives } from "./drives/drives";
import { FindingsPanel } from "./findings/findings";
import { Joints } from "./joints/joints";
import { Looks } from "./looks/looks";
import { Notes } from "./notes/notes";
import { Motion } from "./motion/motion";
import { Parts } from "./parts/parts";
import { Sheets } from "./sheets/sheets";
import { StrengthPanel } from "./strength/strength-panel";

export interface Panel {
  readonly id: string;
  readonly title: string;
  readonly Content: (props: { bench: Bench }) => ComponentChild;
}

export const PANELS: readonly Panel[] = [
  { id: "channels", title: "Channels", Content: Channels },
  { id: "calibration", title: "Calibration", Content: Calibration },
  { id: "parts", title: "Parts", Content: Parts },
  { id: "joints", title: "Joints", Content: Joints },
  { id: "drives", title: "Drives", Content: Drives },
  { id: "bench", title: "Bench", Content: BenchPanel },
  { id: "looks", title: "Looks", Content: Looks },
  { id: "notes", title: "Notes", Content: Notes },
  { id: "clearance", title: "Clearance", Content: Clearance },
  { id: "strength", title: "Strength", Content: StrengthPanel },
  { id: "motion", title: "Motion", Content: Motion },
  { id: "sheets", title: "Sheets", Content: Sheets },
  { id: "findings", title: "Findings", Content: FindingsPanel },
];
