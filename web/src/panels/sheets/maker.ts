/** What whoever makes a sheet is given: the paper, and how to show what was made. */

import type { FileView } from "../../engine/protocol";
import type { Session } from "../../work/session";

export const PAPERS = [["A4", "A4"], ["Letter", "Letter"]] as const;
export type Paper = (typeof PAPERS)[number][0];

export interface MakerProps {
  readonly session: Session;
  readonly paper: Paper;
  readonly show: (file: FileView) => void;
}
