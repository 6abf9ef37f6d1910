/** Findings in words: the shape of an icon and a word tell the level, colour only repeats it. */

import type { FindingView } from "../engine/protocol";
import { Icon } from "./icon";

const LEVEL_WORDS = { error: "Error", warning: "Warning", note: "Note" } as const;
const ORDER = { error: 0, warning: 1, note: 2 } as const;

/** What is told of a finding. */
export type Told = Pick<FindingView, "level" | "text" | "alone">;

/** Worst first. */
export function worstFirst<One extends Told>(findings: readonly One[]): readonly One[] {
  return [...findings].sort((a, b) => ORDER[a.level] - ORDER[b.level]);
}

/** One finding; `where` says what it is about, which goes without saying beside its own control. */
export function Finding({ finding, where = true }: { finding: Told; where?: boolean }) {
  return (
    <p class={`finding finding--${finding.level}`}>
      <Icon name={finding.level} />
      <span>
        <strong>{LEVEL_WORDS[finding.level]}:</strong> {where ? finding.text : finding.alone}
      </span>
    </p>
  );
}

export function Findings({ findings, where = true }: { findings: readonly Told[]; where?: boolean }) {
  return <>{findings.map((finding, index) => <Finding key={index} finding={finding} where={where} />)}</>;
}
