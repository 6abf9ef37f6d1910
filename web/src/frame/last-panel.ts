/** The panel that is open outlives a reload. Another bench, another tab and a link begin as ever. */

import type { Bench } from "../bench";
import { PANELS } from "../panels/panels";
import { IN_TAB, remember, remembered } from "../ui/remembered";

const KEY = "posekit:panel";

/** Open the panel that was open in this tab at the bench of this name, unless a link says what is looked at; and keep which is. */
export function keepPanel({ panel }: Bench, name: string, link: boolean): void {
  const last = PANELS.find(({ id }) => remembered(KEY, IN_TAB) === `${name} ${id}`);
  if (last && !link) panel.value = last.id;
  panel.subscribe((now) => remember(KEY, `${name} ${now}`, IN_TAB));
}
