/** Panels behind tabs, by the keyboard rules of the ARIA tab pattern. */

import { cell, type Cell } from "../ui/cell";
import { h } from "../ui/dom";

export interface Tab {
  readonly id: string;
  readonly title: string;
  readonly panel: HTMLElement;
}

export interface Tabs {
  readonly element: HTMLElement;
  readonly open: Cell<string>;
}

export function createTabs(label: string, tabs: readonly Tab[]): Tabs {
  const open = cell(tabs[0]?.id ?? "");
  const buttons = tabs.map(({ id, title }) =>
    h(
      "button",
      { type: "button", role: "tab", id: `tab-${id}`, class: "tab", "aria-controls": `panel-${id}`, onclick: () => open.set(id) },
      title,
    ),
  );
  const panels = tabs.map(({ id, panel }) =>
    h("div", { role: "tabpanel", id: `panel-${id}`, class: "panel", tabindex: "0", "aria-labelledby": `tab-${id}` }, panel),
  );

  function go(event: KeyboardEvent): void {
    const at = tabs.findIndex(({ id }) => id === open.get());
    const way = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: tabs.length - 1 }[event.key];
    const next = way === undefined ? undefined : tabs.at(way % tabs.length);
    if (!next) return;
    event.preventDefault();
    open.set(next.id);
    buttons[tabs.indexOf(next)]?.focus();
  }

  open.watch((id) => {
    tabs.forEach((tab, index) => {
      const chosen = tab.id === id;
      buttons[index]?.setAttribute("aria-selected", String(chosen));
      buttons[index]?.setAttribute("tabindex", chosen ? "0" : "-1");
      panels[index]?.toggleAttribute("hidden", !chosen);
    });
  });

  const list = h("div", { role: "tablist", class: "tabs", "aria-label": label, onkeydown: go }, ...buttons);
  return { element: h("div", { class: "tabbed" }, list, ...panels), open };
}
