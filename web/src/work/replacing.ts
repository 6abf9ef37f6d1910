/** Putting something where something else stands: only after asking. */

import { Refused } from "../engine/engine";

/** Do it; where its name is taken, ask whether to replace what is there. False if that stays. */
export async function askingFirst(doing: (replace: boolean) => Promise<void>, ask: (name: string) => Promise<boolean>): Promise<boolean> {
  try {
    await doing(false);
  } catch (problem) {
    const taken = problem instanceof Refused && problem.findings.find(({ code }) => code === "name-taken");
    if (!taken) throw problem;
    if (!(await ask(taken.subject))) return false;
    await doing(true);
  }
  return true;
}
