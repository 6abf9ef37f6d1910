/** Findings in words: the shape of an icon and a word tell the level, colour only repeats it. */

import type { FindingView } from "../engine/protocol";
import { apart } from "./apart";
import { Icon } from "./icon";

const LEVEL_WORDS = { error: "Error", warning: "Warning", note: "Note" } as const;
const ORDER = { error: 0, warning: 1, note: 2 } as const;

/** What is told of a finding. */
export type Told = Pick<FindingView, "level" | "text" | "alone"> & Partial<Pick<FindingView, "place" | "kind">>;

/** Worst first. */
export function worstFirst<One extends Told>(findings: readonly One[]): readonly One[] {
  return [...findings].sort((a, b) => ORDER[a.level] - ORDER[b.level]);
}

/** One finding; `where` says what it is about, which goes without saying beside its own control. `others` are alike. */
export function Finding({ finding, where = true, others = [] }: { finding: Told; where?: boolean; others?: readonly string[] }) {
  return (
    <p class={`finding finding--${finding.level}`}>
      <Icon name={finding.level} />
      <span>
        <strong>{LEVEL_WORDS[finding.level]}:</strong> {where ? finding.text : finding.alone}
        {others.length > 0 && `; the same for ${listed(others)}`}
      </span>
    </p>
  );
}

/** Findings in their order. Notes that say the same of several are one, as on the command line. */
export function Findings({ findings, where = true }: { findings: readonly Told[]; where?: boolean }) {
  const rows = where ? grouped(findings) : findings.map((finding) => ({ finding, others: [] }));
  return <>{rows.map(({ finding, others }, index) => <Finding key={index} finding={finding} where={where} others={others} />)}</>;
}

interface Row {
  readonly finding: Told;
  readonly others: string[];
}

/** Of those of one kind the first, with the places of the others: as many rows as `Findings` has. */
export function grouped(findings: readonly Told[]): readonly Row[] {
  const rows: Row[] = [];
  const kinds = new Map<string, Row>();
  for (const finding of findings) {
    const first = finding.kind ? kinds.get(finding.kind) : undefined;
    if (first) first.others.push(finding.place ?? "");
    else {
      const row = { finding, others: [] };
      rows.push(row);
      if (finding.kind) kinds.set(finding.kind, row);
    }
  }
  return rows;
}

const OTHERS = 5; // subjects that are named one by one

function listed(names: readonly string[]): string {
  const more = names.length - OTHERS;
  return names.slice(0, OTHERS).map(apart).join(", ") + (more > 0 ? ` and ${more} more` : "");
}
