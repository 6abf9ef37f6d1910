/** Panels behind tabs, by the keyboard rules of the ARIA tab pattern. A panel is made when it is first opened, and stays. */

import { useComputed } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Bench } from "../bench";
import { HELP } from "../panels/help";
import { PANELS, type Panel } from "../panels/panels";
import { IN_TAB, remember, remembered } from "../ui/remembered";
import { WhatFor } from "../ui/what-for";

const KEY = "posekit:panel";

export function Tabs({ bench }: { bench: Bench }) {
  const list = useRef<HTMLDivElement>(null);

  function go(event: KeyboardEvent): void {
    const at = PANELS.findIndex(({ id }) => id === bench.panel.value);
    const way = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: PANELS.length - 1 }[event.key];
    const next = way === undefined ? undefined : PANELS.at(way % PANELS.length);
    if (!next) return;
    event.preventDefault();
    bench.panel.value = next.id;
    list.current?.querySelector<HTMLElement>(`#tab-${next.id}`)?.focus();
  }

  return (
    <div class="tabbed">
      <div ref={list} role="tablist" class="tabs" aria-label="Controls" onKeyDown={go}>
        {PANELS.map((panel) => <Tab key={panel.id} panel={panel} bench={bench} />)}
      </div>
      {PANELS.map((panel) => <TabPanel key={panel.id} panel={panel} bench={bench} />)}
    </div>
  );
}

/**
 * Open the panel that was open in this tab at the bench of this name, unless a link says what is looked at, and keep which
 * one is: it outlives a reload. Another bench and another tab begin as ever.
 */
export function keepPanel({ panel }: Bench, name: string, link: boolean): void {
  const last = PANELS.find(({ id }) => remembered(KEY, IN_TAB) === `${name} ${id}`);
  if (last && !link) panel.value = last.id;
  panel.subscribe((now) => remember(KEY, `${name} ${now}`, IN_TAB));
}

function Tab({ panel: { id, title }, bench }: { panel: Panel; bench: Bench }) {
  const chosen = useComputed(() => bench.panel.value === id);
  return (
    <button
      type="button"
      role="tab"
      id={`tab-${id}`}
      class="tab"
      aria-controls={`panel-${id}`}
      aria-selected={chosen.value}
      tabIndex={chosen.value ? 0 : -1}
      onClick={() => (bench.panel.value = id)}
    >
      {title}
    </button>
  );
}

function TabPanel({ panel: { id, Content }, bench }: { panel: Panel; bench: Bench }) {
  const chosen = useComputed(() => bench.panel.value === id);
  const made = useRef(false);
  useEffect(() => void (made.current ||= chosen.value), [chosen.value]);
  return (
    <div role="tabpanel" id={`panel-${id}`} class="panel" tabIndex={0} aria-labelledby={`tab-${id}`} hidden={!chosen.value}>
      {/* What a panel holds is of the prop it was found out of: another prop begins with fresh ones. */}
      {(chosen.value || made.current) && (
        <>
          {HELP[id] && <WhatFor>{HELP[id]}</WhatFor>}
          <Content key={bench.session.opened.value} bench={bench} />
        </>
      )}
    </div>
  );
}
