/** What Python would not do, told where it was asked for. */

import { useSignal } from "@preact/signals";
import { Refused } from "../engine/engine";
import type { FindingView } from "../engine/protocol";
import { complain } from "./toasts";

export interface Refusal {
  /** Why the last try was refused; empty where it was not. */
  readonly findings: readonly FindingView[];
  /** The last try is no matter any more. */
  clear(): void;
  /** Do something; what Python refuses is held here, any other problem is told in a toast. Answers whether it was done. */
  attempt(doing: () => Promise<void>): Promise<boolean>;
}

export function useRefusal(): Refusal {
  const findings = useSignal<readonly FindingView[]>([]);
  return {
    findings: findings.value,
    clear: () => void (findings.value = []),
    async attempt(doing) {
      try {
        findings.value = [];
        await doing();
        return true;
      } catch (problem) {
        if (problem instanceof Refused) findings.value = problem.findings;
        else complain(problem);
        return false;
      }
    },
  };
}
